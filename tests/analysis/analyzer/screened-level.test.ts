import { expect, it } from "vitest";
import { createAnalyzer } from "../../../analysis/analyzer.ts";
import type { AnalyzerState } from "../../../analysis/analyzer-state.ts";
import { courseAt, cycle_s, reading, rest_s, smallSite, startTime_s } from "../small-basin.ts";

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
