// What stands around the figures: verdict first, then at the end advice, assumptions, how sure it is, cautions, signatures.

import type { SizingVerdict } from "../../report/report.ts";
import type { SizingAnswer } from "../../sizing/sizing-answer.ts";
import { type Html, html } from "../html.ts";
import type { ReportInput } from "../report-input.ts";
import { siteDay } from "../words.ts";
import { list, paragraph, section } from "./steps.ts";

const verdicts: Readonly<Record<SizingVerdict, string>> = {
  adequate: "The pump is large enough.",
  marginal: "The pump is hardly large enough.",
  undersized: "The pump is too small.",
  "not-enough-data": "Not enough is known yet to say whether the pump is large enough.",
};

export function heading({ answer, madeAt, invented }: ReportInput): Html {
  const { site, measured } = answer;
  const day = siteDay(site.timezone);
  const logged =
    measured?.from && measured.to
      ? `logged ${day(measured.from)} to ${day(measured.to)}`
      : measured
        ? "measured by hand"
        : "nothing measured";
  return html`<header><p class="kind">Sump basin and pump: sizing report</p><h1>${site.name}</h1><p>Made on ${day(madeAt)}; ${logged}.</p>${invented && html`<p class="invented"><b>Simulation — not a real basin.</b></p>`}</header>`;
}

export function verdictBox({ answer }: ReportInput): Html {
  const { pump, ask_for: ask, impossible, missing } = answer;
  return html`<section class="verdict" aria-label="Verdict"><p class="verdict-word">${verdicts[pump?.verdict ?? "not-enough-data"]}</p>${paragraph(pump?.message)}
${ask && html`<p>What to ask a supplier for: <b>${ask.words}</b> (section 5).</p>`}
${impossible.length > 0 && html`<p><b>This cannot be:</b></p>${list(impossible)}`}
${missing.length > 0 && html`<p><b>Not known, and asked for:</b></p>${list(missing.map(missingWords))}`}</section>`;
}

function missingWords({ what, tells, where }: SizingAnswer["missing"][number]): string {
  return `${what}: ${tells}. Where to find it: ${where}.`;
}

export function adviceSection({ answer }: ReportInput): Html | null {
  if (answer.advice.length === 0) return null;
  return section(
    "8. Worth having in this basin",
    html`<table><thead><tr><th scope="col">Advice</th><th scope="col">Reason</th></tr></thead><tbody>${answer.advice.map(({ advice, reason, source }) => html`<tr><th scope="row">${advice}</th><td>${reason}<small>${source}</small></td></tr>`)}</tbody></table>`,
  );
}

export function closing({ answer, version }: ReportInput): Html {
  return html`<div class="two notes">${section("What was assumed", list(answer.assumptions))}${section("How sure these figures are", paragraph("A figure with ± holds the true value within those bounds 95 times in 100, for what could be reckoned: scatter of the readings and what is stated of basin, sensor and floats. A figure without ± is as good as what went into it: a pump's curve, a length of pipe, a count of fittings. Each sum can be done again from this page; the last digit may differ by rounding."))}</div>
${section("Cautions", list(answer.cautions))}
<div class="signatures"><p>Checked on site by</p><p>Licence</p><p>Date</p></div>
<footer><p>Undercroft ${version}. Advice for who decides: local codes and licensed practice come first.</p></footer>`;
}
