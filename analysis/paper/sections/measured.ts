// What came in: the record as a picture, its peaks, its storms, how much of the truth was seen; or the hand test.

import { unwatchedSentence } from "../../report/unwatched-words.ts";
import type { SizingAnswer, SizingSeen, SizingStorm } from "../../sizing/sizing-answer.ts";
import { toSi } from "../../units/unit.ts";
import { type Html, html } from "../html.ts";
import { inflowChart } from "../inflow-chart.ts";
import type { ReportInput } from "../report-input.ts";
import { type PaperWords, siteClock } from "../words.ts";
import { figures, paragraph, section, stepsTable } from "./steps.ts";

const windows = [
  ["60", "highest minute"],
  ["600", "highest 10 minutes"],
  ["3600", "highest hour"],
] as const;

export function measuredSection(input: ReportInput, words: PaperWords): Html | null {
  const { answer } = input;
  const { measured } = answer;
  if (measured === null) return null;
  const clock = siteClock(answer.site.timezone);
  const span =
    measured.from !== null && measured.to !== null
      ? `Logged from ${clock(measured.from)} to ${clock(measured.to)} (${answer.site.timezone})${measured.days === null ? "" : `; ${measured.days.toFixed(1)} days were seen`}.`
      : "Measured by hand: the pump off, the rise watched with a ruler and a watch.";
  return section(
    "What was measured",
    paragraph(span),
    chart(input),
    input.site.measurement?.uGeometry == null &&
      html`<p class="aside"><small>A ± here is of the readings alone: how well the basin's size is known is not stated.</small></p>`,
    measured.by === "logged" &&
      html`<div class="two">${figures([
        ...windows.map(([key, name]) => {
          const peak = measured.peak[key];
          return peak === null
            ? null
            : ([
                name,
                html`${words.flow(peak)}${peak.at !== null && html` <small>${clock(peak.at)}</small>`}`,
              ] as const);
        }),
        measured.mean === null ? null : (["mean inflow", words.flow(measured.mean)] as const),
      ])}${figures([
        measured.starts === null ? null : ["pump starts", String(measured.starts)],
        measured.most_starts_in_an_hour === null
          ? null
          : ["most starts in an hour", String(measured.most_starts_in_an_hour)],
        measured.run_s === null ? null : ["pump ran in all", words.duration(measured.run_s)],
        measured.pumped_l === null ? null : ["pumped in all", words.litres(measured.pumped_l)],
      ])}</div>`,
    paragraph(unwatchedSentence(measured.unwatched_runs)),
    handTest(answer, words),
    storms(answer.storms, words, clock),
    seen(answer.seen),
  );
}

function chart({ answer, inflow }: ReportInput): Html | null {
  const peak = answer.measured?.peak["600"] ?? null;
  const drawn = inflowChart({
    size: { width: 700, height: 150 },
    units: answer.site.display_units,
    timezone: answer.site.timezone,
    inflow,
    peak:
      peak === null || peak.at === null
        ? null
        : { time_s: Date.parse(peak.at) / 1000, flow_m3s: toSi(peak.lpm, "L/min") },
    required_m3s: answer.required === null ? null : toSi(answer.required.flow.lpm, "L/min"),
  });
  return (
    drawn &&
    html`<figure>${drawn}<figcaption>Inflow over time: heavy line the mean, light line the highest in each part of the picture, ring the highest 10 minutes. Where the line breaks, nothing was logged.</figcaption></figure>`
  );
}

function handTest({ measured }: SizingAnswer, words: PaperWords): Html | null {
  const hand = measured?.hand ?? null;
  if (hand === null) return null;
  return html`<table><caption>Hand test, repeat by repeat</caption><thead><tr><th scope="col">Repeat</th><th scope="col">Rise</th><th scope="col">Watched for</th><th scope="col">Volume</th><th scope="col">Inflow</th></tr></thead>
<tbody>${hand.repeats.map((repeat, i) => html`<tr><th scope="row">${i + 1}</th><td>${words.ruler(repeat.rise_mm)}</td><td>${Number(repeat.watched_s.toFixed(1))} s</td><td>${words.litres(repeat.volume_l)}</td><td>${words.flow(repeat)}</td></tr>`)}</tbody></table>
${paragraph(hand.message)}${stepsTable(hand.steps)}`;
}

const mostStorms = 4;

function storms(found: readonly SizingStorm[] | null, words: PaperWords, clock: (iso: string) => string): Html | null {
  if (found === null || found.length === 0) return null;
  const highest = [...found].sort((a, b) => b.peak_lpm - a.peak_lpm).slice(0, mostStorms);
  const some = found.length > mostStorms ? `, the ${mostStorms} highest of ${found.length}` : "";
  const wet = highest.some((storm) => storm.rain_mm !== null);
  return html`<table><caption>Storms seen${some}</caption><thead><tr><th scope="col">Began</th><th scope="col">Peak</th><th scope="col">Water that it brought</th>${wet && html`<th scope="col">Rain</th><th scope="col">Peak after rain</th>`}<th scope="col">Falls to 37 % in</th></tr></thead>
<tbody>${highest.map((storm) => html`<tr><th scope="row">${clock(storm.from)}</th><td>${words.flow({ lpm: storm.peak_lpm, u95_lpm: storm.u95_peak_lpm, ...(storm.peak_at_least && { at_least: true }) })}</td><td>${words.litres(storm.volume_l)}</td>${wet && html`<td>${storm.rain_mm === null ? "not logged" : words.rain(storm.rain_mm)}</td><td>${storm.delay_s === null ? "–" : words.duration(storm.delay_s)}</td>`}<td>${storm.recession_s === null ? "–" : words.duration(storm.recession_s)}</td></tr>`)}</tbody></table>`;
}

function seen(found: SizingSeen | null): Html | null {
  if (found === null) return null;
  return html`<p><b>How much of the truth was seen:</b> ${found.message}${found.wettest_hour && ` ${found.wettest_hour.message}`}</p>`;
}
