import { describe, expect, it } from "vitest";
import { createAnalyzer } from "../../../analysis/analyzer.ts";
import { channels, type Reading } from "../../../analysis/readings/reading.ts";
import { type ReadingRows, readerOf } from "../../../analysis/readings/reading-rows.ts";
import type { Site } from "../../../analysis/site.ts";
import { seededRandom } from "../../../daemon/sources/simulated/random.ts";
import * as fc from "../../at-random.ts";
import { listen } from "../analyse.ts";
import { anyReadings, anySite } from "../arbitrary-readings.ts";
import { courseAt, courseReadings, reading, smallSite, startTime_s } from "../small-basin.ts";

function inRows(readings: readonly Reading[]): ReadingRows {
  return {
    time_ms: Float64Array.from(readings, ({ time_s }) => time_s * 1000),
    columns: channels.map((channel) =>
      Float64Array.from(readings, (reading) => Number(reading[channel] ?? Number.NaN)),
    ),
    channels,
  };
}

/** Once one by one and once in rows, a few or many at a time. */
function bothWays(site: Site, readings: readonly Reading[], atOnce: number) {
  const rows = inRows(readings);
  const one = listen();
  const byOne = createAnalyzer(site, one.options);
  const read = readerOf(rows);
  for (let row = 0; row < readings.length; row += 1) byOne.push({ ...read(row) });
  const many = listen();
  const byMany = createAnalyzer(site, many.options);
  for (let from = 0; from < readings.length; from += atOnce) {
    byMany.pushRows(rows, from, Math.min(readings.length, from + atOnce));
  }
  return [
    { said: one.said, state: byOne.snapshot(), now: byOne.situation() },
    { said: many.said, state: byMany.snapshot(), now: byMany.situation() },
  ] as const;
}

describe("pushRows", () => {
  it("leaves the same state, and says the same, as readings one by one, in any recording", () => {
    fc.assert(
      fc.property(anySite, anyReadings, fc.constantFrom(1, 7, 100, 5000), (site, readings, atOnce) => {
        const [byOne, byMany] = bothWays(site, readings, atOnce);
        expect(byMany).toEqual(byOne);
      }),
      { numRuns: 40 },
    );
  }, 300_000);

  it.each([0.5, 1, 2, 4, 6])("does so over cycles read every %d s", (interval_s) => {
    const readings = courseReadings(4000, { interval_s });
    const [byOne, byMany] = bothWays(smallSite, readings, 3000);
    expect(byMany).toEqual(byOne);
  });

  it("does so where noise lifts readings over the start level, and at last the water goes there", () => {
    const random = seededRandom(3);
    const noise = () => random.normal(0.002);
    const readings = courseReadings(4000, { noise });
    const fullAt_s = startTime_s + 4000;
    for (let after_s = 1; after_s < 1200; after_s += 1) {
      const level_m = Math.min(0.4, courseAt(4000).level_m + 0.001 * after_s) + noise();
      readings.push(reading(fullAt_s + after_s, { level_m, pumpOn: false }));
    }
    const [byOne, byMany] = bothWays(smallSite, readings, 3000);
    expect(byMany).toEqual(byOne);
    expect(byOne.said.findings.map(({ finding }) => finding.kind)).toContain("float-stuck-off");
  });

  it("does so while a contact that stands still for long is held against the level", () => {
    const readings = courseReadings(6000).map((reading) => ({ ...reading, pumpOn: false }));
    const [byOne, byMany] = bothWays(smallSite, readings, 3000);
    expect(byMany).toEqual(byOne);
  });
});
