// The basin: floats and starts, how long until water reaches the floor, and what stands ready when the mains fail.

import type { SizingBackup } from "../../sizing/answer/backup.ts";
import type { SizingFloats, SizingFreeboard } from "../../sizing/answer/basin.ts";
import type { SizingTime } from "../../sizing/answer/figures.ts";
import { startsInWords } from "../../sizing/headline.ts";
import { fixed } from "../../units/display.ts";
import { type Html, html } from "../html.ts";
import type { ReportInput } from "../report-input.ts";
import type { PaperWords } from "../words.ts";
import { paragraph, section, stepsTable } from "./steps.ts";

export function floatsSection({ answer }: ReportInput, words: PaperWords): Html | null {
  const { floats } = answer;
  if (floats === null) return null;
  return section(
    "Floats and starts",
    paragraph(floats.message),
    setWords(floats, words),
    stepsTable(floats.steps),
    paragraph(runWords(floats, words)),
    cycles(floats, words),
    paragraph(raiseWords(floats, words)),
  );
}

function setWords({ set }: SizingFloats, words: PaperWords): Html | null {
  if (set === null) return null;
  const high = set.high_mm === null ? "" : `, high water at ${words.mm(set.high_mm)}`;
  return html`<p><b>Stop at ${words.mm(set.stop_mm)}, start at ${words.mm(set.start_mm)}</b>${high}: ${words.litres(set.active_l)} a run, at most ${startsInWords(set.starts_per_hour)} starts an hour, runs of ${words.duration(set.run_s)}.</p>`;
}

function runWords({ active, shortest_run_s, min_run_s }: SizingFloats, words: PaperWords): string | null {
  const poured =
    active?.from === "measured" ? `Between the floats: ${words.volume(active)}, as poured in from a bucket. ` : "";
  if (shortest_run_s === null) return poured;
  const least = min_run_s === null ? "" : `; at least ${words.duration(min_run_s)} are wanted`;
  return `${poured}Shortest run, with nothing coming in: ${words.duration(shortest_run_s)}${least}.`;
}

function cycles({ cycles: found }: SizingFloats, words: PaperWords): Html | null {
  if (found.length === 0) return null;
  return html`<table><caption>One cycle</caption><thead><tr><th scope="col">Inflow</th><th scope="col">Fills in</th><th scope="col">Runs for</th><th scope="col">Starts an hour</th></tr></thead>
<tbody>${found.map((cycle) => html`<tr><th scope="row">${cycle.when}, ${words.lpm(cycle.inflow_lpm)}</th><td>${cycle.fill_s === null ? "never" : words.duration(cycle.fill_s)}</td><td>${cycle.run_s === null ? "without end" : words.duration(cycle.run_s)}</td><td>${cycle.starts_per_hour === null ? "–" : startsInWords(cycle.starts_per_hour)}</td></tr>`)}</tbody></table>`;
}

function raiseWords({ raise_start: raise }: SizingFloats, words: PaperWords): string | null {
  if (raise === null || !raise.fits) return null;
  const starts = `Raising the start level by ${words.mm(raise.by_mm)}, to ${words.mm(raise.start_mm)}, makes ${startsInWords(raise.starts_per_day_then)} starts a day of ${startsInWords(raise.starts_per_day)}${raisedAt[raise.at]}`;
  const [then, now] = [raise.pumped_l_per_day_then, raise.pumped_l_per_day].map(words.litres);
  if (raise.pumped_l_per_day === null || raise.pumped_l_per_day_then === null || then === now) return `${starts}.`;
  return `${starts}, and ${then} pumped a day of ${now}.`;
}

const raisedAt = { record: ", over the record", mean: " at the mean inflow", peak: " at the measured peak" };

export function freeboardSection({ answer }: ReportInput, words: PaperWords): Html | null {
  const { freeboard, backup } = answer;
  if (freeboard === null && backup === null) return null;
  return section(
    "If the pump stops",
    freeboard && freeboardTable(freeboard, words),
    freeboard && stepsTable(freeboard.steps),
    backup && backupWords(backup, words),
  );
}

const when = {
  peak: "at the measured peak",
  "design-storm": "in the design storm",
  mean: "at the mean inflow",
  dry: "in dry weather",
};

function freeboardTable({ cases, overflow_mm }: SizingFreeboard, words: PaperWords): Html | null {
  const first = cases[0];
  if (first === undefined) return null;
  const column = (name: string, from: (typeof first)["from_start"]) =>
    html`<th scope="col">${name}${from && `, room ${words.litres(from.volume.l)}`}</th>`;
  return html`<table class="freeboard"><caption>Time until water stands at the floor, ${words.mm(overflow_mm)} above the bottom, no pump running</caption><thead><tr><th scope="col">Inflow</th>${column("From the stop level", first.from_stop)}${column("From the start level", first.from_start)}${column("From high water", first.from_high)}</tr></thead>
<tbody>${cases.map((row) => html`<tr><th scope="row">${when[row.when]}, ${words.flow(row.inflow)}</th>${[row.from_stop, row.from_start, row.from_high].map((from) => html`<td>${from === null ? "–" : timeCell(from.time, words)}</td>`)}</tr>`)}</tbody></table>`;
}

function timeCell(time: SizingTime, words: PaperWords): Html {
  const [, middle = "", range] = /^(.*?)(?: (\(.*))?$/.exec(words.time(time)) ?? [];
  return html`${middle}${range !== undefined && html` <small>${range}</small>`}`;
}

function backupWords({ standby, runtime, message, steps }: SizingBackup, words: PaperWords): Html {
  const needed = standby === null ? "" : ` A standby pump must do ${standby.words}.`;
  return html`${paragraph(message + needed)}${stepsTable(steps)}${runtime && paragraph(runtimeWords(runtime, words))}`;
}

/** Over the worst hours and the record, the message says it. */
function runtimeWords(runtime: NonNullable<SizingBackup["runtime"]>, words: PaperWords): string | null {
  const { capacity_ah, volts, at_storm_s, at_mean_s } = runtime;
  const at_peak_s = runtime.at_peak_s === at_storm_s ? null : runtime.at_peak_s;
  const lasts = (
    [
      [at_peak_s, "at the measured peak"],
      [at_mean_s, "at the mean inflow"],
    ] as const
  ).flatMap(([span_s, when]) => (span_s === null ? [] : [`${words.duration(span_s)} ${when}`]));
  if (lasts.length === 0) return null;
  return `With the inflow held steady, a battery of ${fixed(capacity_ah, 0)} Ah at ${fixed(volts, 0)} V lasts, once it is old, ${lasts.join(", ")}.`;
}
