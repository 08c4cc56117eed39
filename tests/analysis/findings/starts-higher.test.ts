// A pump that nothing but the level watches, and that starts 50 mm higher than the site file says.

import { describe, expect, it } from "vitest";
import type { Reading } from "../../../analysis/readings/reading.ts";
import { seededRandom } from "../../../daemon/sources/simulated/random.ts";
import { analyse } from "../analyse.ts";
import { area_m2, reading, smallSite, startTime_s } from "../small-basin.ts";

const hour_s = 3600;
const rain_s = 7 * hour_s;
const startsAt_m = 0.35;

/** Read every ten seconds or so: 6 L/min come in, in the rain 12, of a pump that moves 30. */
function readings(): Reading[] {
  const random = seededRandom(7);
  const found: Reading[] = [];
  let [level_m, runs, next_s] = [0.1, false, 0];
  for (let after_s = 0; after_s < rain_s + 3 * hour_s; after_s += 0.5) {
    level_m += (0.5 * ((after_s > rain_s ? 12 : 6) - (runs ? 30 : 0))) / 60_000 / area_m2;
    if (level_m >= startsAt_m) runs = true;
    if (level_m <= 0.1) runs = false;
    if (after_s < next_s) continue;
    next_s += 10 + 0.5 * random.uniform();
    found.push(reading(startTime_s + after_s, { level_m: level_m + random.normal(0.001) }));
  }
  return found;
}

describe("a pump that starts higher than the site file says, watched by the level alone", () => {
  it("is not told in each cycle of a rain to be overwhelmed, once its cycles have shown where it starts", () => {
    const { said, cycles } = analyse(smallSite, readings());
    expect(cycles.filter(({ startedAt_s }) => startedAt_s > startTime_s + rain_s).length).toBeGreaterThan(40);
    expect(said.findings.filter(({ finding }) => finding.from_s > startTime_s + rain_s)).toEqual([]);
  });
});
