import { expect, it } from "vitest";
import type { Reading } from "../../analysis/readings/reading.ts";
import { seededRandom } from "../../daemon/sources/simulated/random.ts";
import { analyse } from "./analyse.ts";
import { area_m2, reading, smallSite, startTime_s } from "./small-basin.ts";

const pump_m3s = 1.2e-3;
const [stop_m3, start_m3] = [0.1 * area_m2, 0.3 * area_m2];

/**
 * Each second the contact of a pump that is as good as ever, and the level if asked for. The ground lets in the more the lower
 * the water stands, so that more comes in while the pump runs than a rest's mean: in a storm to half of what the pump moves it
 * seems to move less.
 */
function storm(lean: number, { withLevel = false } = {}): Reading[] {
  const random = seededRandom(1);
  const readings: Reading[] = [];
  let [volume_m3, on] = [stop_m3, false];
  for (let t = 0; t < 20 * 3600; t += 1) {
    const part = Math.min(1, Math.max(0, (t - 12 * 3600) / (6 * 3600)));
    const mean_m3s = pump_m3s * (0.1 + 0.4 * Math.min(1, 6 * Math.sin(Math.PI * part) ** 2));
    const full = (volume_m3 - stop_m3) / (start_m3 - stop_m3);
    volume_m3 += mean_m3s * (1 + lean * (1 - 2 * full)) - (on ? pump_m3s : 0);
    if (volume_m3 >= start_m3) on = true;
    else if (volume_m3 <= stop_m3) on = false;
    const level = withLevel ? { level_m: volume_m3 / area_m2 + random.normal(0.0015) } : {};
    readings.push(reading(startTime_s + t, { pumpOn: on, ...level }));
  }
  return readings;
}

const kindsIn = (readings: Reading[]) => analyse(smallSite, readings).summary.findings.map(({ kind }) => kind);

it.each([0, 0.5, 0.7])(
  "by the contact alone no worn pump is told where the ground's water leans by %f on the level",
  (lean) => {
    expect(kindsIn(storm(lean))).not.toContain("pump-worn");
  },
);
