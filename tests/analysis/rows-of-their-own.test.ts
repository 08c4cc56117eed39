// Level and pump signal in rows of their own: a logger that writes each value when it comes.

import { describe, expect, it } from "vitest";
import type { Reading } from "../../analysis/readings/reading.ts";
import { seededRandom } from "../../daemon/sources/simulated/random.ts";
import { analyse } from "./analyse.ts";
import { courseReadings, inflow_m3s, pumpRate_m3s, reading, smallSite, startTime_s } from "./small-basin.ts";

const hour_s = 3600;

describe("levels by the clock beside rows that say when the pump switches", () => {
  // In 0.1 m² the water rises by 200 mm over the rest and falls by as much within 8 s.
  const run_s = 8;
  const cycle = (rest_s: number, phase_s: number) =>
    phase_s < rest_s ? 0.1 + (0.2 * phase_s) / rest_s : 0.3 - (0.2 * (phase_s - rest_s)) / run_s;

  /** Two calm hours, then a storm in which runs fall between two levels. */
  function storm(every_s: number): Reading[] {
    const random = seededRandom(5);
    const rows: Reading[] = [];
    const end_s = 6 * hour_s;
    for (let from_s = 0, level_s = 0; from_s < end_s; ) {
      const rest_s = from_s < 2 * hour_s ? 600 : 28.7;
      const switches = [
        { at_s: rest_s, pumpOn: true },
        { at_s: rest_s + run_s, pumpOn: false },
      ];
      for (const { at_s, pumpOn } of switches) {
        for (; level_s < from_s + at_s; level_s += every_s)
          rows.push(
            reading(startTime_s + level_s, { level_m: cycle(rest_s, level_s - from_s) + random.normal(0.001) }),
          );
        rows.push(reading(startTime_s + from_s + at_s, { pumpOn }));
      }
      from_s += rest_s + run_s;
    }
    return rows;
  }

  it("calls no level faulty for runs between two of them, nor for rows without one", () => {
    const { summary } = analyse(smallSite, storm(10));
    expect(summary.findings.map(({ kind }) => kind)).not.toContain("sensor-fault");
  });
});

describe("level and contact of one poll in rows 0.4 s apart", () => {
  it.each([5.03, 10.03])("tell as much as in one row, each %d s: neither a peak nor a rate is off", (interval_s) => {
    const random = seededRandom(3);
    const polls = courseReadings(24 * hour_s, { interval_s, noise: () => random.normal(0.001) });
    const rows = polls.flatMap(({ time_s, level_m, pumpOn }) => [
      reading(time_s, { level_m }),
      reading(time_s + 0.4, { pumpOn }),
    ]);
    const { summary, figures } = analyse(smallSite, rows);
    expect(summary.findings).toEqual([]);
    expect(summary.span.rows).toBe(rows.length);
    expect(Math.abs((figures.peaks[0]?.flow_m3s ?? 0) / inflow_m3s - 1)).toBeLessThan(0.02);
    expect(Math.abs((figures.pumpRate?.flow_m3s ?? 0) / pumpRate_m3s - 1)).toBeLessThan(0.02);
  });
});
