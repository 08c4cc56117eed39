// A household's water in a basin that is read each minute: for a minute or two much comes in, which hardly a reading shows.

import { expect, test } from "vitest";
import { createAnalyzer } from "../../../../analysis/analyzer.ts";
import { seededRandom } from "../../../../daemon/sources/simulated/random.ts";
import { area_m2, reading, smallSite, startTime_s } from "../../small-basin.ts";

const seeps_m3s = 1e-5;
const pours_m3s = 2.2e-4;
const moves_m3s = 4.5e-4;
const pour_s = 70;
const hours = 30;

/** Every hour and a bit a tap runs for so long, second by second; what each minute shows of it, and all that came in. */
function played() {
  const random = seededRandom(11);
  const readings = [];
  let [level_m, on, poured_s, all_m3] = [0.15, false, 0, 0];
  for (let t = 0; t < hours * 3600; t += 1) {
    if (random.uniform() < 1 / 4000) poured_s = pour_s;
    const inflow_m3s = seeps_m3s + (poured_s > 0 ? pours_m3s : 0);
    poured_s -= 1;
    level_m += (inflow_m3s - (on ? moves_m3s : 0)) / area_m2;
    all_m3 += inflow_m3s;
    if (level_m >= 0.3) on = true;
    if (level_m <= 0.1) on = false;
    if (t % 60 === 0) readings.push(reading(startTime_s + t, { level_m: level_m + random.normal(0.0007), pumpOn: on }));
  }
  return { readings, mean_lpm: (60_000 * all_m3) / (hours * 3600) };
}

test("most of what a household lets in between two readings counts, by where the float trips", () => {
  const { readings, mean_lpm } = played();
  const analyzer = createAnalyzer(smallSite);
  for (const one of readings) analyzer.push(one);
  analyzer.finish();
  const { inflow, findings } = analyzer.summary();
  // What goes on to come in while the pump runs, no reading shows.
  expect(Math.abs((inflow.mean_lpm ?? 0) / mean_lpm - 1)).toBeLessThan(0.1);
  expect(Math.abs((inflow.peak["60"]?.lpm ?? 0) / (60_000 * (seeps_m3s + pours_m3s)) - 1)).toBeLessThan(0.5);
  expect(findings).toEqual([]);
});
