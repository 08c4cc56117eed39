// The basin: floats and starts, how long until water reaches the floor, and what stands ready when the mains fail.

import type { SizingBackup } from "../../sizing/answer/backup.ts";
import type { SizingFloats, SizingFreeboard } from "../../sizing/answer/basin.ts";
import { fixed } from "../../units/display.ts";
import { type Html, html } from "../html.ts";
import type { ReportInput } from "../report-input.ts";
import type { PaperWords } from "../words.ts";
import { figures, paragraph, section, stepsTable } from "./steps.ts";

export function floatsSection({ answer }: ReportInput, words: PaperWords): Html | null {
  const { floats } = answer;
  if (floats === null) return null;
  return section(
    "6. Floats and starts",
    paragraph(floats.message),
    floatFigures(floats, words),
    cycles(floats, words),
    paragraph(raiseWords(floats, words)),
    stepsTable(floats.steps, "The sum"),
  );
}

function floatFigures(
  { active, needed, set, most_starts_per_hour, allowed_starts_per_hour, shortest_run_s, min_run_s }: SizingFloats,
  words: PaperWords,
): Html {
  const allowed = allowed_starts_per_hour === null ? "" : ` (allowed: ${allowed_starts_per_hour})`;
  const least = min_run_s === null ? "" : ` (at least ${words.duration(min_run_s)} wanted)`;
  return html`<div class="two">${figures([
    active === null
      ? null
      : [
          `volume between stop and start, ${active.from === "measured" ? "measured with a bucket" : "by the basin's shape"}`,
          words.volume(active),
        ],
    needed === null ? null : ["volume needed for the allowed starts", words.litres(needed.volume_l)],
    most_starts_per_hour === null
      ? null
      : ["most starts in an hour, at the worst inflow", `${fixed(most_starts_per_hour, 1)}${allowed}`],
    shortest_run_s === null ? null : ["shortest run", `${words.duration(shortest_run_s)}${least}`],
  ])}${figures(
    set === null
      ? []
      : [
          ["set the stop level to", words.mm(set.stop_mm)],
          ["set the start level to", words.mm(set.start_mm)],
          set.high_mm === null ? null : ["set high water to", words.mm(set.high_mm)],
          [
            "which gives",
            `${words.litres(set.active_l)}, ${fixed(set.starts_per_hour, 1)} starts an hour at most, runs of ${words.duration(set.run_s)}`,
          ],
        ],
  )}</div>`;
}

function cycles({ cycles: found }: SizingFloats, words: PaperWords): Html | null {
  if (found.length === 0) return null;
  return html`<table><caption>One cycle</caption><thead><tr><th scope="col">Inflow</th><th scope="col">Fills in</th><th scope="col">Runs for</th><th scope="col">Starts an hour</th></tr></thead>
<tbody>${found.map((cycle) => html`<tr><th scope="row">${cycle.when}, ${words.lpm(cycle.inflow_lpm)}</th><td>${cycle.fill_s === null ? "never" : words.duration(cycle.fill_s)}</td><td>${cycle.run_s === null ? "without end" : words.duration(cycle.run_s)}</td><td>${cycle.starts_per_hour === null ? "–" : fixed(cycle.starts_per_hour, 1)}</td></tr>`)}</tbody></table>`;
}

function raiseWords({ raise_start: raise }: SizingFloats, words: PaperWords): string | null {
  if (raise === null || !raise.fits) return null;
  const starts = `Raising the start level by ${words.mm(raise.by_mm)}, to ${words.mm(raise.start_mm)}, makes ${fixed(raise.starts_per_day_then, 0)} starts a day of ${fixed(raise.starts_per_day, 0)} at the mean inflow`;
  if (raise.pumped_l_per_day === null || raise.pumped_l_per_day_then === null) return `${starts}.`;
  return `${starts}, and ${words.litres(raise.pumped_l_per_day_then)} pumped a day of ${words.litres(raise.pumped_l_per_day)}.`;
}

export function freeboardSection({ answer }: ReportInput, words: PaperWords): Html | null {
  const { freeboard, backup } = answer;
  if (freeboard === null && backup === null) return null;
  return section(
    "7. If the pump stops",
    freeboard && freeboardTable(freeboard, words),
    freeboard && stepsTable(freeboard.steps, "The sum"),
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
  if (cases.length === 0) return null;
  return html`<table><caption>Time until water stands at the floor, ${words.mm(overflow_mm)} above the bottom, no pump running</caption><thead><tr><th scope="col">Inflow</th><th scope="col">From the stop level</th><th scope="col">From the start level</th><th scope="col">From high water</th></tr></thead>
<tbody>${cases.map((row) => html`<tr><th scope="row">${when[row.when]}, ${words.flow(row.inflow)}</th>${[row.from_stop, row.from_start, row.from_high].map((from) => html`<td>${from === null ? "–" : html`${words.time(from.time)}<small>${words.volume(from.volume)} of room</small>`}</td>`)}</tr>`)}</tbody></table>`;
}

function backupWords({ standby, battery, runtime, message, steps }: SizingBackup, words: PaperWords): Html {
  return html`${paragraph(message)}${figures([
    standby === null ? null : ["a standby pump must do", standby.words],
    battery === null
      ? null
      : [
          `battery for ${battery.hours} h`,
          `at least ${fixed(battery.ask_for_ah, 0)} Ah at ${fixed(battery.volts, 0)} V (at the ${battery.rated_hours} h rate)`,
        ],
    runtime === null
      ? null
      : [`battery of ${fixed(runtime.capacity_ah, 0)} Ah lasts at the peak`, words.duration(runtime.at_peak_s)],
    runtime === null || runtime.at_storm_s === null
      ? null
      : ["over the recorded storm", words.duration(runtime.at_storm_s)],
    runtime === null || runtime.at_mean_s === null ? null : ["at the mean inflow", words.duration(runtime.at_mean_s)],
  ])}${stepsTable(steps, "The sum")}`;
}
