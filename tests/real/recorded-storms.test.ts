// Four storms in a buried stormwater basin with the rain at its gauge, recorded and published by the Philadelphia Water
// Department (tests/fixtures/ATTRIBUTION.md). The level stands in for an inflow: it rises, peaks and fades as one.

import { readFileSync } from "node:fs";
import { join } from "node:path";
import { gunzipSync } from "node:zlib";
import { describe, expect, it } from "vitest";
import { findStorms } from "../../analysis/storms/find-storms.ts";
import type { RainStretch } from "../../analysis/storms/rain.ts";
import { fitRecession } from "../../analysis/storms/recession.ts";

const inch_m = 0.0254;
/** One foot of level is so much flow, for no other reason than to have one. */
const perFoot_m3s = 1e-4;
const noise_ft = 0.0036;

const rows = (name: string) =>
  gunzipSync(readFileSync(join(import.meta.dirname, "../fixtures", name)))
    .toString()
    .trim()
    .split("\n")
    .slice(1)
    .map((line) => line.split(","));
const time_s = (text = "") => Date.parse(`${text.replace(" ", "T")}Z`) / 1000;

const levels = rows("buried-basin-5min.csv.gz").map(([at, level]) => ({ at_s: time_s(at), level_ft: Number(level) }));
const asFlow = levels.slice(1).map(({ at_s, level_ft }, i) => ({
  from_s: levels[i]?.at_s ?? 0,
  to_s: at_s,
  inflow_m3s: Math.max(0, level_ft) * perFoot_m3s,
  uInflow_m3s: noise_ft * perFoot_m3s,
}));
const rain = rainOf(levels[0]?.at_s ?? 0, levels.at(-1)?.at_s ?? 0);

/** The published rows are the wet ones; between them it was dry. */
function rainOf(from_s: number, to_s: number): RainStretch[] {
  const stretches: RainStretch[] = [];
  let last_s = from_s;
  for (const [at, depth] of rows("buried-basin-rain-15min.csv.gz")) {
    const [end_s, rain_m] = [time_s(at), Number(depth) * inch_m];
    if (!(rain_m > 0) || end_s <= from_s || end_s > to_s) continue;
    const start_s = Math.max(last_s, end_s - 900);
    if (start_s > last_s) stretches.push({ from_s: last_s, to_s: start_s, rain_m: 0 });
    stretches.push({ from_s: start_s, to_s: end_s, rain_m });
    last_s = end_s;
  }
  return [...stretches, { from_s: last_s, to_s, rain_m: 0 }];
}

/** Event, depth of its rain (in), highest level as a share of 4 ft (%), recession between 7 and 5 in (in/h): published. */
const published = [
  [17123, 2.0, 60.495, 1.313],
  [17129, 0.94, 32.1425, 1.749],
  [17130, 0.87, 33.2625, 1.497],
  [17131, 1.81, 37.72, 1.185],
] as const;

describe("six weeks of a buried basin with its rain", () => {
  const { storms } = findStorms(asFlow, rain);

  it("has the four published storms, with the rain known and without", () => {
    expect(storms.length).toBe(4);
    expect(findStorms(asFlow, null).storms.length).toBe(4);
  });

  it.each(published.map((event, i) => [i, ...event] as const))(
    "knows storm %d, event %d: rain, highest level and recession as published",
    (i, _, depth_in, share, rate_inh) => {
      const storm = storms[i];
      if (storm === undefined) throw new Error("no such storm");
      // Of event 17123, 0.07 in fell in drops a day before and after.
      expect(Math.abs((storm.rain?.depth_m ?? 0) / inch_m - depth_in)).toBeLessThan(0.08);
      const peak_ft = (storm.peaks[600]?.inflow_m3s ?? 0) / perFoot_m3s;
      expect(Math.abs(peak_ft / 4 - share / 100)).toBeLessThan(0.002);
      // Two inches in so long: rate = 2/(T·ln(7/5)) where the level fades as a linear reservoir does.
      const after = levels.filter(({ at_s }) => at_s > (storm.peaks[600]?.at_s ?? 0) && at_s < storm.to_s + 86_400);
      const last = (inches: number) => after.findLastIndex(({ level_ft }) => level_ft * 12 >= inches);
      const falling = after.slice(after.findIndex(({ level_ft }) => level_ft * 12 < 7) - 1, last(5) + 1);
      const recession = fitRecession({
        time_s: falling.map(({ at_s }) => at_s),
        flow_m3s: falling.map(({ level_ft }) => level_ft),
        uFlow_m3s: noise_ft,
        uBase_m3s: 0,
      });
      const found_inh = 2 / (((recession?.constant_s ?? 0) / 3600) * Math.log(7 / 5));
      expect(Math.abs(found_inh / rate_inh - 1)).toBeLessThan(0.05);
    },
  );

  it("sees the level peak hours after the middle of the rain, later where it rained twice", () => {
    for (const { rain: of } of storms) {
      expect((of?.lagOfPeak_s ?? 0) / 3600).toBeGreaterThan(0.5);
      expect((of?.lagOfPeak_s ?? 0) / 3600).toBeLessThan(8);
    }
  });
});
