// Sections of the sizing answer in words: floats, time to the floor, backup.

import type { SizingCycle, SizingRaise } from "../../analysis/sizing/answer/basin.ts";
import type { SizingTime } from "../../analysis/sizing/answer/figures.ts";
import { startsInWords } from "../../analysis/sizing/headline.ts";
import type { SizingAnswer } from "../../analysis/sizing/sizing-answer.ts";
import { duration } from "../../analysis/units/duration.ts";
import { toSi } from "../../analysis/units/unit.ts";
import type { Words } from "../../analysis/units/words.ts";
import { flowWords, wordsOf } from "./sizing-lines.ts";
import { stepLines } from "./step-lines.ts";

export function floatLines(answer: SizingAnswer): string[] {
  const { floats } = answer;
  if (floats === null) return [];
  const say = wordsOf(answer);
  const { shortest_run_s: run_s, min_run_s } = floats;
  return [
    floats.message,
    ...(run_s === null || min_run_s === null
      ? []
      : [`shortest run: ${say.duration(run_s)}; ${say.duration(min_run_s)} is the least that does the pump no harm`]),
    ...floats.cycles.map((cycle) => cycleLine(cycle, say)),
    ...(floats.raise_start === null ? [] : [raiseLine(floats.raise_start, say)]),
    ...stepLines(floats.steps),
  ];
}

function cycleLine({ when, inflow_lpm, fill_s, run_s, starts_per_hour }: SizingCycle, say: Words): string {
  const inflow = say.flow(toSi(inflow_lpm, "L/min"));
  if (fill_s === null) return `${when}, ${inflow}: it never starts`;
  if (run_s === null || starts_per_hour === null) return `${when}, ${inflow}: it never stops`;
  return `${when}, ${inflow}: fills in ${duration(fill_s)}, runs ${duration(run_s)}, ${startsInWords(starts_per_hour)} starts an hour`;
}

function raiseLine(raise: SizingRaise, say: Words): string {
  const { by_mm, starts_per_day: now, starts_per_day_then: then, fits } = raise;
  const starts = `${startsInWords(now)} starts a day become ${startsInWords(then)}`;
  const volume = (of_l: number | null) => (of_l === null ? null : say.volume(of_l / 1000));
  const [before, after] = [volume(raise.pumped_l_per_day), volume(raise.pumped_l_per_day_then)];
  const pumped =
    before === null || after === null || before === after ? "" : `, and ${before} pumped a day become ${after}`;
  const room = fits ? "" : "; but it does not fit there";
  const when = { record: "", mean: " at the mean inflow", peak: " at the measured peak" }[raise.at];
  return `with the start level ${say.level(by_mm / 1000)} higher, ${starts}${when}${pumped}${room}`;
}

/** A range so narrow is that of reading a watch: it shows nothing. */
const leastRange = 0.01;

const cases = {
  peak: "at the measured peak",
  "design-storm": "in the storm to hold",
  mean: "at the mean inflow",
  dry: "in dry weather",
} as const;

export function freeboardLines(answer: SizingAnswer): string[] {
  const { freeboard } = answer;
  if (freeboard === null) return [];
  const say = wordsOf(answer);
  const time = ({ s, low_s, high_s }: SizingTime) => {
    if (low_s === null || s - low_s < leastRange * s) return duration(s);
    return `${duration(s)} (${duration(low_s)} to ${high_s === null ? "no end" : duration(high_s)})`;
  };
  const rows = freeboard.cases.map(({ when, inflow, from_start, from_stop, from_high }) => {
    const froms = [
      from_start && `${time(from_start.time)} from the start level`,
      from_stop && `${time(from_stop.time)} from the stop level`,
      from_high && `${time(from_high.time)} from the high-water level`,
    ].filter((part) => part !== null);
    return `water reaches the floor ${cases[when]}, ${flowWords(inflow, say)}, in ${froms.join(", ")}`;
  });
  return [...rows, ...stepLines(freeboard.steps)];
}

export function backupLines(answer: SizingAnswer): string[] {
  const { backup } = answer;
  if (backup === null) return [];
  const { standby, runtime } = backup;
  const others = [
    // Where nothing was logged for so long the peak was held, and has been said.
    ...(runtime?.at_peak_s == null || runtime.at_peak_s === runtime.at_storm_s
      ? []
      : [`${duration(runtime.at_peak_s)} at the measured peak`]),
    ...(runtime?.at_mean_s == null ? [] : [`${duration(runtime.at_mean_s)} at the mean inflow`]),
  ];
  const lasts = others.length === 0 ? [] : [`once it is old, the battery lasts ${others.join(", and ")}, held steady`];
  return [
    ...(standby === null ? [] : [`a standby pump, since the mains fail in storms: ${standby.words}`]),
    backup.message,
    ...lasts,
    ...stepLines(backup.steps),
  ];
}
