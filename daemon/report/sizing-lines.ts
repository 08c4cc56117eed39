// Sections of the sizing answer in words: what came in, what is required, the pump, the pipe.

import { unwatchedWords } from "../../analysis/report/unwatched-words.ts";
import type { SizingFlow, SizingFlowRange } from "../../analysis/sizing/answer/figures.ts";
import type { SizingDuty } from "../../analysis/sizing/answer/lift.ts";
import { handTestSteps } from "../../analysis/sizing/hand-test-guide.ts";
import type { SizingAnswer } from "../../analysis/sizing/sizing-answer.ts";
import { fromSi, toSi } from "../../analysis/units/unit.ts";
import { figures, plusMinus, twoFigures, type Words, words } from "../../analysis/units/words.ts";
import { stepLines } from "./step-lines.ts";

export function wordsOf({ site }: SizingAnswer): Words {
  return words(site.display_units);
}

/** `8.54 ± 0.14 gpm`. */
export function flowWords({ lpm, u95_lpm, at_least }: SizingFlow, say: Words): string {
  const inUnit = (value_lpm: number) => fromSi(toSi(value_lpm, "L/min"), say.flowUnit);
  return `${at_least ? "at least " : ""}${plusMinus(inUnit(lpm), u95_lpm === null ? null : inUnit(u95_lpm))} ${say.flowUnit}`;
}

/** `5.92 gpm (1.7 to 11)`. */
function rangeWords({ lpm, low_lpm, high_lpm }: SizingFlowRange, say: Words): string {
  const [low, high] = [low_lpm, high_lpm].map((value) => twoFigures(fromSi(toSi(value, "L/min"), say.flowUnit)));
  return `${say.flow(toSi(lpm, "L/min"))} (${low} to ${high})`;
}

export function measuredLines(answer: SizingAnswer): string[] {
  const { measured, seen, storms } = answer;
  if (measured === null) return ["Nothing was measured yet. By hand:", ...handTestSteps.map((step) => `  ${step}`)];
  const say = wordsOf(answer);
  const local = (iso: string) => localTime(iso, answer.site.timezone);
  const lines: string[] = [];
  if (measured.by === "logged" && measured.from !== null && measured.to !== null) {
    lines.push(`logged from ${local(measured.from)} to ${local(measured.to)}: ${figures(measured.days ?? 0)} days`);
    if (measured.mean !== null) lines.push(`mean: ${flowWords(measured.mean, say)}`);
    for (const [window, name] of [
      ["60", "a minute"],
      ["600", "ten minutes"],
      ["3600", "an hour"],
    ] as const) {
      const peak = measured.peak[window];
      if (peak === null) continue;
      lines.push(`highest over ${name}: ${flowWords(peak, say)}${peak.at === null ? "" : `, about ${local(peak.at)}`}`);
    }
    lines.push(`${measured.starts} starts, at most ${measured.most_starts_in_an_hour} in an hour`);
    const unwatched = unwatchedWords(measured.unwatched_runs);
    if (unwatched !== null) lines.push(unwatched);
  }
  if (measured.inflow_per_level !== null) lines.push(perLevelLine(measured.inflow_per_level, say));
  for (const { from, peak_lpm, peak_at_least, rain_mm, volume_l } of storms ?? []) {
    const rain = rain_mm === null ? "" : ` of ${say.depth(rain_mm / 1000)} of rain`;
    const peak = `${say.flow(toSi(peak_lpm, "L/min"))}${peak_at_least ? " or more" : ""}`;
    lines.push(`storm of ${local(from)}${rain}: up to ${peak}, ${say.volume(volume_l / 1000)} above the base flow`);
  }
  if (seen !== null) {
    const hour = seen.wettest_hour;
    lines.push(seen.message, ...stillOpen(answer), ...(hour === null ? [] : [hour.message]));
  }
  if (measured.hand !== null) lines.push("by hand:", ...stepLines(measured.hand.steps), measured.hand.message);
  return lines;
}

/** Enough seen is not all known: how wide the storm to hold still is, where that was reckoned. */
function stillOpen({ seen, required }: SizingAnswer): string[] {
  const storm = required?.design_storm ?? null;
  if (seen?.enough !== true || storm === null) return [];
  const { lpm, low_lpm, high_lpm } = storm.inflow;
  const [less, more] = [1 - low_lpm / lpm, high_lpm / lpm - 1].map((share) => Math.round(100 * share));
  return [`What the storm to hold brings is known to −${less} %, +${more} % all the same.`];
}

function perLevelLine({ per_m, u95_per_m }: { per_m: number; u95_per_m: number }, say: Words): string {
  const height_m = say.headUnit === "ft" ? 0.0254 : 0.01;
  const percent = 100 * per_m * height_m;
  if (Math.abs(per_m) <= u95_per_m) return "the inflow is the same at every level in the basin, as far as can be seen";
  const how = percent < 0 ? "less" : "more";
  return `with ${say.level(height_m)} more of water in the basin, ${plusMinus(Math.abs(percent), 100 * u95_per_m * height_m)} % ${how} comes in`;
}

export function requiredLines(answer: SizingAnswer): string[] {
  const { required } = answer;
  if (required === null) return [];
  const say = wordsOf(answer);
  const { governs, design_storm: storm } = required;
  const flow =
    governs === "design-storm" && storm !== null ? rangeWords(storm.inflow, say) : flowWords(required.flow, say);
  const ofPeak =
    governs === "allowance" && required.flow.u95_lpm !== null
      ? " (the ± is of the measured peak, not of storms unseen)"
      : "";
  return [`required flow: ${flow}${ofPeak}`, required.why, ...stepLines(required.steps)];
}

export function pumpLines(answer: SizingAnswer): string[] {
  const { pump } = answer;
  if (pump === null) return [];
  const say = wordsOf(answer);
  const at = (where: string, duty: SizingDuty | null) =>
    duty === null
      ? []
      : [
          `by its curve, water at the ${where} level: ${say.flow(toSi(duty.lpm, "L/min"))} at ${say.head(duty.head_m)}, ${say.velocity(duty.velocity_ms)} in the pipe`,
        ];
  const margin =
    pump.margin === null ? [] : [`${plusMinus(pump.margin.value, pump.margin.u95)} times the measured peak`];
  return [
    ...at("start", pump.duty.at_start),
    ...at("stop", pump.duty.at_stop),
    ...(pump.moves !== null && pump.moves_by === "measured" ? [`measured: ${flowWords(pump.moves, say)}`] : []),
    ...margin,
    ...[pump.worn, pump.clogged].flatMap((later) => (later === null ? [] : [later.message])),
    ...stepLines(pump.steps),
  ];
}

export function askLines(answer: SizingAnswer): string[] {
  const { ask_for: ask } = answer;
  if (ask === null) return [];
  const say = wordsOf(answer);
  return [
    `a pump rated ${ask.words}`,
    ...(ask.to_be_sure === null ? [] : [`to be sure, at the upper end of the range: ${ask.to_be_sure.words}`]),
    `its head at no flow must be above ${say.head(ask.shut_off_above_m)}`,
    ...(ask.at_most_lpm === null
      ? []
      : [
          ask.at_most_lpm < ask.lpm
            ? `with the floats as they are, any pump that moves more than ${say.flow(toSi(ask.at_most_lpm, "L/min"))} may start too often, and more than that is required. The flow comes first: mend the starts by the floats, or by a wider basin (see "The floats")`
            : `with the floats as they are, one that moves more than ${say.flow(toSi(ask.at_most_lpm, "L/min"))} may start too often: see the floats`,
        ]),
    ...stepLines(ask.steps),
  ];
}

export function pipeLines(answer: SizingAnswer): string[] {
  const say = wordsOf(answer);
  return answer.pipes.map(({ label, present, message, duty }) => {
    const moves = duty === null ? "" : `The pump that is there moves ${say.flow(toSi(duty.lpm, "L/min"))} through it. `;
    return `${label}${present ? " (as it is)" : ""}: ${moves}${message}`;
  });
}

export function localTime(iso: string, timeZone: string): string {
  return new Intl.DateTimeFormat("en-CA", {
    timeZone,
    dateStyle: "medium",
    timeStyle: "short",
    hourCycle: "h23",
  }).format(new Date(iso));
}
