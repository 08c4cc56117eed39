// Two pumps in words: what they are called, which of them run, and what a run of theirs was like. Pure.

import type { Situation } from "../analysis/analyzer.ts";
import type { Cycle, RunningLoad } from "../analysis/cycles/cycle.ts";
import type { Site } from "../analysis/site.ts";
import { fixed, runLength } from "./format.ts";

export type PumpNames = readonly [string, string];

/** As the site file calls them. */
export function pumpNames({ pumps }: Pick<Site, "pumps">): PumpNames {
  return [pumps?.[0].name ?? "pump 1", pumps?.[1].name ?? "pump 2"];
}

/** `1`, `2` or `1+2` for a corner of the drawing and of the table; null with one pump, or when none runs. */
export function whichRun(first: boolean | null, second: boolean | null): string | null {
  if (first === true) return second === true ? "1+2" : "1";
  return second === true ? "2" : null;
}

export function whichRunNow({ pumpsRunning }: Situation): string | null {
  return pumpsRunning == null ? null : whichRun(pumpsRunning[0], pumpsRunning[1]);
}

export function whichRanIn({ pumps }: Cycle): string | null {
  return pumps == null ? null : whichRun(pumps.pump1_s > 0, pumps.pump2_s > 0);
}

/** `Main and Standby` for those that run. */
export function namesRunning({ pumpsRunning }: Situation, names: PumpNames): string | null {
  if (pumpsRunning == null) return null;
  const running = names.filter((_, index) => pumpsRunning[index] === true);
  return running.length === 0 ? null : running.join(" and ");
}

/** Who ran and what the motor drew, one sentence each; none where nothing is known. */
export function runSentences(cycle: Cycle, names: PumpNames): string[] {
  const { pumps, runningCurrent, runningPower } = cycle;
  const drew = [drawn(runningCurrent, "A", 1), drawn(runningPower, "W", 0)].filter((text) => text !== null);
  return [
    ...(pumps == null ? [] : [whoRan(pumps, names)]),
    ...(drew.length === 0 ? [] : [`Drew ${drew.join(" and ")} while running, the first second left out.`]),
  ];
}

function whoRan({ pump1_s, pump2_s, both_s, rateOf }: NonNullable<Cycle["pumps"]>, [first, second]: PumpNames): string {
  const rate =
    rateOf === null ? "" : ` The rate is that of ${rateOf === "both" ? "both" : rateOf === 1 ? first : second}.`;
  const parts = [
    pump1_s > 0 && `${first} ran ${runLength(pump1_s)}`,
    pump2_s > 0 && `${second} ran ${runLength(pump2_s)}`,
  ];
  const together = both_s > 0 ? `, ${runLength(both_s)} of it together` : "";
  return `${parts.filter((part) => part !== false).join(", ")}${together}.${together === "" ? "" : rate}`;
}

function drawn(load: RunningLoad | null | undefined, unit: string, decimals: number): string | null {
  if (load == null) return null;
  const spread = load.standardDeviation === null ? "" : ` (scatter ${fixed(load.standardDeviation, decimals + 1)})`;
  return `${fixed(load.mean, decimals)} ${unit}${spread}`;
}
