import { describe, expect, it } from "vitest";
import { createAnalyzer } from "../../../analysis/analyzer.ts";
import type { AnalyzerState } from "../../../analysis/analyzer-state.ts";
import { seededRandom } from "../../../daemon/sources/simulated/random.ts";
import { analyse } from "../analyse.ts";
import { courseAt, cycle_s, reading, rest_s, smallSite, startTime_s } from "../small-basin.ts";

const hour_s = 3600;

/** Two hours of cycles, then an hour at the rim; told is when the level was said to be frozen, so long after it stood there. */
function frozenAtRim(highFloat: boolean | null): number | undefined {
  const random = seededRandom(3);
  const readings = Array.from({ length: 3 * hour_s }, (_, t) => {
    const well = t < 2 * hour_s;
    const level_m = well ? courseAt(t).level_m + random.normal(0.001) : 0.6;
    return reading(startTime_s + t, {
      level_m,
      pumpOn: well && courseAt(t).pumpOn,
      highFloat: well ? false : highFloat,
    });
  });
  const told = analyse(smallSite, readings).said.findings.find(
    ({ finding, change }) => change === "began" && finding.evidence.problem === "frozen",
  );
  return told && told.finding.from_s - startTime_s - 2 * hour_s;
}

describe("a level that stands at the rim", () => {
  it("is frozen while the high float, which water over the rim would lift, is down", () => {
    expect(frozenAtRim(false)).toBeLessThan(660);
  });

  it("is that of water that runs over while the float is up", () => {
    expect(frozenAtRim(true)).toBeUndefined();
  });
});

/** Each 2 s by the level alone; in the last run the first value is said again for so long, and then the water is as low as it is. */
function fallAfter(heldFor_s: number): boolean {
  const analyzer = createAnalyzer(smallSite);
  const run_s = 8 * cycle_s + rest_s;
  for (let t = 0; t <= run_s + heldFor_s + 2; t += 2) {
    const isHeld = t > run_s && t <= run_s + heldFor_s;
    analyzer.push(reading(startTime_s + t, { level_m: courseAt(isHeld ? run_s : t).level_m }));
  }
  const { screen } = analyzer.snapshot() as unknown as AnalyzerState;
  return screen.fellByNoPump === true;
}

it("gives a pump the time since a value was said first for the fall after it was said again", () => {
  expect(fallAfter(0)).toBe(false);
  expect(fallAfter(6)).toBe(false);
});
