import { describe, expect, it } from "vitest";
import { roundTicks } from "../../../analysis/paper/chart-frame.ts";
import { dayTicks } from "../../../analysis/paper/day-ticks.ts";
import { inflowChart, inflowColumns } from "../../../analysis/paper/inflow-chart.ts";
import { levelChart, thinned } from "../../../analysis/paper/level-chart.ts";
import { pumpChart } from "../../../analysis/paper/pump-chart.ts";

const gpm = 3.785411784e-3 / 60;
const size = { width: 600, height: 300 };

describe("ticks", () => {
  it("stand at 1, 2 or 5 times a power of ten", () => {
    const at = (to: number, most: number) => roundTicks({ from: 0, to }, most).map(({ word }) => word);
    expect(at(47, 5)).toEqual(["0", "10", "20", "30", "40"]);
    expect(at(0.9, 5)).toEqual(["0.0", "0.2", "0.4", "0.6", "0.8"]);
  });

  it("of days stand at midnight on the site's clock, of hours at whole ones", () => {
    const monday_s = Date.UTC(2026, 2, 2) / 1000;
    const ticks = dayTicks(monday_s, monday_s + 7 * 86_400, "America/Toronto", 900);
    expect(ticks[0]).toEqual({ at: monday_s + 5 * 3600, word: "2 Mar" }); // UTC−5 before 8 March 2026
    expect(
      dayTicks(monday_s, monday_s + 5 * 3600, "Asia/Kolkata", 700)
        .map(({ word }) => word)
        .slice(0, 2),
    ).toEqual([
      "06:00", // 05:30 in UTC+5:30 is not whole
      "07:00",
    ]);
  });
});

describe("the inflow's columns", () => {
  it("have the time-weighted mean and the highest, and nothing where nothing was seen", () => {
    const stretch = (from_s: number, to_s: number, inflow_m3s: number) => ({
      from_s,
      to_s,
      inflow_m3s,
      uInflow_m3s: 0,
    });
    const inflow = [stretch(0, 30, 1), stretch(30, 40, 5), stretch(80, 100, 2)];
    // 0 to 50 s: (30 · 1 + 10 · 5) / 40 = 2, by hand; 100 to 150 s: nothing
    expect(inflowColumns(inflow, 0, 150, 3)).toEqual([{ mean: 2, highest: 5 }, { mean: 2, highest: 2 }, null]);
  });

  it("make no chart of an empty record", () => {
    const chart = { size, units: "us", timezone: "UTC", inflow: [], peak: null, required_m3s: null } as const;
    expect(inflowChart(chart)).toBeNull();
  });
});

describe("a course of the level, thinned", () => {
  it("keeps the highest and the lowest of each column", () => {
    const course = Array.from({ length: 1000 }, (_, i) => [i, i === 437 ? 9 : i === 802 ? -4 : Math.sin(i)] as const);
    const few = thinned(course, 0, 1000, 20);
    expect(few.length).toBeLessThanOrEqual(80);
    expect(few).toContainEqual([437, 9]);
    expect(few).toContainEqual([802, -4]);
    expect(few.map(([time]) => time)).toEqual(few.map(([time]) => time).toSorted((a, b) => a - b));
  });

  it("says in words how high each candidate comes", () => {
    const chart = levelChart({
      size,
      units: "metric",
      timezone: "UTC",
      from_s: 0,
      to_s: 100,
      courses: [
        {
          name: "as it stands",
          course: [
            [0, 0.2],
            [50, 0.31],
            [100, 0.1],
          ],
        },
      ],
      marks: [{ level_m: 0.5, word: "floor", kind: "floor" }],
    });
    expect(chart.text).toContain('aria-label="Water level through the storm: as it stands reaches 31.0 cm."');
  });
});

describe("the pump against the pipe", () => {
  const discharge = {
    highPoint_m: 3.048,
    pipe: { material: "pvc-40", nominal_m: 0.0381, insideDiameter_m: null, length_m: 6.7056 },
    fittings: [{ kind: "elbow-90", count: 3 }],
  } as const;
  const curve = [
    { flow_m3s: 0, head_m: 7.62 },
    { flow_m3s: 20 * gpm, head_m: 6.096 },
    { flow_m3s: 40 * gpm, head_m: 3.3528 },
    { flow_m3s: 52 * gpm, head_m: 0 },
  ];
  const chart = (pumps: Parameters<typeof pumpChart>[0]["pumps"]) =>
    pumpChart({ size, units: "us", discharge, startLevel_m: 0.3556, stopLevel_m: 0.1524, pumps, required: null }).text;

  it("rings the two points where they meet and says them in words", () => {
    const drawn = chart([{ name: "the pump", curve }]);
    expect(drawn.match(/class="duty/g)).toHaveLength(2);
    expect(drawn).toMatch(/the pump moves \d+\.\d gpm at \d+\.\d ft at the start level; the pump moves/);
  });

  it("says so where they do not meet", () => {
    const weak = [
      { flow_m3s: 0, head_m: 2 },
      { flow_m3s: 20 * gpm, head_m: 0 },
    ];
    const drawn = chart([{ name: "it", curve: weak }]);
    expect(drawn).not.toContain('class="duty');
    expect(drawn).toContain("it has no point with the pipe at the stop level");
  });
});
