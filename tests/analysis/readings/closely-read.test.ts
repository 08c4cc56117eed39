import { describe, expect, it } from "vitest";
import type { Reading } from "../../../analysis/readings/reading.ts";
import { analyse } from "../analyse.ts";
import { reading, smallSite, startTime_s } from "../small-basin.ts";

const rest_s = 600;
const cycles = 30;
const sound_s = 20;
/** The pump then takes three times as long. */
const blocked_s = 60;

/** Rests in which the water rises from the stop to the start level, and runs in which it falls as far. */
function readings(interval_s: number): Reading[] {
  const found: Reading[] = [];
  let begins_s = 0;
  let at_s = 0;
  for (let i = 0; i < cycles + 2; i += 1) {
    const run_s = i < cycles ? sound_s : blocked_s;
    for (; at_s < begins_s + rest_s + run_s; at_s += interval_s) {
      const phase_s = at_s - begins_s;
      const gone = phase_s < rest_s ? 1 - phase_s / rest_s : (phase_s - rest_s) / run_s;
      found.push(reading(startTime_s + at_s, { level_m: 0.3 - 0.2 * gone, pumpOn: phase_s >= rest_s }));
    }
    begins_s += rest_s + run_s;
  }
  return found;
}

describe("closely read", () => {
  it.each([5, 5.02, 5.2])("is a logger's five seconds, late by as much as it mostly is: %s s", (interval_s) => {
    // A discharge that is blocked is told of after the first run that it holds back.
    const { said } = analyse(smallSite, readings(interval_s));
    const told = said.findings.filter(({ change }) => change === "began").map(({ finding }) => finding);
    expect(told.map(({ kind }) => kind)).toEqual(["discharge-blocked"]);
    const firstHeld_s = startTime_s + cycles * (rest_s + sound_s) + rest_s;
    expect(told[0]?.from_s).toBeGreaterThan(firstHeld_s);
    expect(told[0]?.from_s).toBeLessThan(firstHeld_s + blocked_s + rest_s);
  });
});
