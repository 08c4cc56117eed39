// What stands around the figures: verdict first, then at the end advice, assumptions, how sure it is, cautions, signatures.

import { headline, startsTooOften, stillToSee } from "../../sizing/headline.ts";
import type { SizingAnswer } from "../../sizing/sizing-answer.ts";
import { type Html, html } from "../html.ts";
import type { ReportInput } from "../report-input.ts";
import { siteDay } from "../words.ts";
import { capital, list, paragraph, section } from "./steps.ts";

export function heading({ answer, madeAt, version, invented }: ReportInput): Html {
  const { site, measured } = answer;
  const day = siteDay(site.timezone);
  const logged =
    measured?.from && measured.to
      ? `logged ${day(measured.from)} to ${day(measured.to)}`
      : measured
        ? "measured by hand"
        : "nothing measured";
  return html`<header><h1>${site.name}</h1><p>Sump basin and pump, sizing report. Made on ${day(madeAt)} with Undercroft ${version}; ${logged}.</p>${invented && html`<p class="invented"><b>Simulation — not a real basin.</b></p>`}</header>`;
}

export function verdictBox({ answer }: ReportInput): Html {
  const { pump, ask_for: ask, impossible, missing, seen } = answer;
  const { words, standing, soFarOnly } = headline(answer);
  const tooOften = startsTooOften(answer);
  // What more should be seen stands beside what was seen.
  const asked = missing.filter(({ what }) => !(seen?.still_missing ?? []).includes(what));
  return html`<section class="verdict${standing === "open" ? " verdict-open" : ""}" aria-label="Verdict"><p class="verdict-word">${words}.</p>${paragraph(pump?.message)}${paragraph(stillToSee(answer))}
${tooOften && html`<p><b>${tooOften}</b> See Floats and starts.</p>`}
${ask && html`<p>${soFarOnly ? "By what has been seen so far, ask" : "Ask"} a supplier for <b>${ask.words}</b>${ask.to_be_sure && `; to be sure: ${ask.to_be_sure.words}`}.</p>`}
${impossible.length > 0 && html`<p><b>This does not go together:</b></p>${list(impossible)}`}
${asked.length > 0 && html`<p><b>Not known, and asked for:</b></p>${list(asked.map(missingWords))}`}</section>`;
}

const common = "common practice, no source";

function missingWords({ what, tells, where }: SizingAnswer["missing"][number]): string {
  return `${capital(what)}: it tells ${tells}. ${capital(where)}.`;
}

export function adviceSection({ answer }: ReportInput): Html | null {
  if (answer.advice.length === 0) return null;
  return section(
    "Worth having in this basin",
    list(
      answer.advice.map(
        ({ advice, reason, source }) =>
          html`<b>${advice}</b> ${reason}${source !== common && html` <small>${source}</small>`}`,
      ),
    ),
    answer.advice.some(({ source }) => source === common) &&
      html`<p class="aside"><small>Where no other source is named: ${common}.</small></p>`,
  );
}

export function closing({ answer }: ReportInput): Html {
  return html`<div class="notes">${section("What was assumed", list(answer.assumptions))}${section("How sure these figures are", paragraph(howSure))}${section("Cautions", list(answer.cautions))}</div>
<div class="signatures"><p>Checked on site by</p><p>Licence</p><p>Date</p></div>`;
}

const howSure =
  "A figure with ± holds the true value within those bounds 95 times in 100, for what could be reckoned: the scatter of the readings, and what is stated of basin, sensor and floats. A figure without ± is as good as what went into it: a pump's curve, a length of pipe, a count of fittings. Each sum can be done again from this page; the last digit may differ by rounding.";
