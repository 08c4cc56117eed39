// What was found of one pump's runs, readings far apart, when a second pump is heard of: none times their runs together.

import { describe, expect, it } from "vitest";
import type { Reading } from "../../../analysis/readings/reading.ts";
import { seededRandom } from "../../../daemon/sources/simulated/random.ts";
import { analyse } from "../analyse.ts";
import { reading, smallSite, startTime_s } from "../small-basin.ts";

const [low_m, high_m] = [0.1, 0.3];
const rest_s = 1270;
const stretches = [
  { run_s: 60, cycles: 40, second: null },
  { run_s: 150, cycles: 40, second: null },
  { run_s: 150, cycles: 4, second: false },
];

/** Read each half minute. */
function readings(): Reading[] {
  const random = seededRandom(3);
  const found: Reading[] = [];
  let begins_s = 0;
  let at_s = 0;
  for (const { run_s, cycles, second } of stretches) {
    for (let i = 0; i < cycles; i += 1) {
      for (; at_s < begins_s + rest_s + run_s; at_s += 30) {
        const phase_s = at_s - begins_s;
        const gone = phase_s >= rest_s ? (phase_s - rest_s) / run_s : 1 - phase_s / rest_s;
        const level_m = high_m - (high_m - low_m) * gone + random.normal(0.001);
        found.push(reading(startTime_s + at_s, { level_m, pumpOn: phase_s >= rest_s, pump2On: second }));
      }
      begins_s += rest_s + run_s;
    }
  }
  return found;
}

describe("a discharge that many runs together showed to be blocked", () => {
  it("is not told for good once a second pump is heard", () => {
    const { said } = analyse(smallSite, readings());
    const changes = said.findings.filter(({ finding }) => finding.kind === "discharge-blocked");
    expect(changes[0]?.finding.evidence.seen_over_runs).toBeGreaterThan(0);
    expect(changes.at(-1)?.change).toBe("ended");
    const heard_s = startTime_s + 40 * (rest_s + 60) + 40 * (rest_s + 150);
    expect(changes.at(-1)?.finding.to_s).toBeGreaterThanOrEqual(heard_s);
  });
});
