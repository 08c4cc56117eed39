import { describe, expect, it } from "vitest";
import { createAnalyzer } from "../../../analysis/analyzer.ts";
import { forgetDescent, newKeptDown, noteKeptDown, noteStops } from "../../../analysis/findings/kept-down.ts";
import { randomOf } from "../../truth/random.ts";
import { area_m2, reading, smallSite, startTime_s } from "../small-basin.ts";

const rise_ms = 0.0002;
const noise_m = 0.0005;

/** A basin whose runs stop at 0.1 m; levels every second from 0 on. */
function watched(
  level_m: (time_s: number) => number,
  duration_s: number,
  stops_m = [0.1, 0.1, 0.1],
  stated_m: number | null = null,
) {
  const state = newKeptDown();
  noteStops(state, [...stops_m], stated_m);
  for (let time_s = 0; time_s <= duration_s; time_s += 1)
    noteKeptDown(state, time_s, level_m(time_s), noise_m, rise_ms);
  return state;
}

const drawnDownTo =
  (lowest_m: number, from_m = 0.2) =>
  (time_s: number) =>
    Math.max(lowest_m, from_m - 0.01 * time_s);

describe("water kept down", () => {
  it("is told of water that is drawn under where runs stop and stays, once it should have risen by 20 mm in 2 min or more", () => {
    // at the line, 10 mm under the stop, from the 11th second on; 20 mm would have come in 100 s, and 120 s must pass
    expect(watched(drawnDownTo(0.05), 130).kept).toBe(false);
    expect(watched(drawnDownTo(0.05), 132).kept).toBe(true);
  });

  it("is not told where the water rises as at rest, however low it was drawn", () => {
    const risesAgain = (time_s: number) => (time_s < 15 ? 0.2 - 0.01 * time_s : 0.05 + rise_ms * (time_s - 15));
    for (let end_s = 15; end_s < 300; end_s += 5) expect(watched(risesAgain, end_s).kept).toBe(false);
  });

  it("is not told of water that rises again, though a tap that ran in the rest before would have made it rise far faster", () => {
    const state = newKeptDown();
    noteStops(state, [0.1, 0.1, 0.1], null);
    for (let time_s = 0; time_s <= 900; time_s += 1) {
      const level_m = time_s < 15 ? 0.2 - 0.01 * time_s : 0.05 + 0.0001 * (time_s - 15);
      noteKeptDown(state, time_s, level_m, noise_m, 0.002);
      expect(state.kept).toBe(false);
    }
  });

  it("is not told where the water stands no more than a float's scatter under the stop, nor where runs have not shown it", () => {
    expect(watched(drawnDownTo(0.092), 4000).kept).toBe(false);
    expect(watched(drawnDownTo(0.05), 4000, [0.1, 0.1]).kept).toBe(false);
  });

  it("is not told of water that is still over the stated stop level, where stops read off the level came out high", () => {
    expect(watched(drawnDownTo(0.05), 4000, [0.1, 0.1, 0.1], 0.055).kept).toBe(false);
    expect(watched(drawnDownTo(0.05), 4000, [0.1, 0.1, 0.1], 0.065).kept).toBe(true);
  });

  it("is not told of water that is hardly under the lower of stops that scatter", () => {
    const scattered = [0.2, 0.2, 0.15, 0.2, 0.14, 0.21, 0.15, 0.2];
    expect(watched(drawnDownTo(0.09), 4000, scattered).kept).toBe(false);
    expect(watched(drawnDownTo(0.05), 4000, scattered).kept).toBe(true);
  });

  it("is not told of a level at the bottom, which no pump reaches", () => {
    expect(watched(drawnDownTo(0.008), 4000).kept).toBe(false);
    expect(watched(drawnDownTo(0.012), 4000).kept).toBe(true);
  });

  it("is not told of a basin that dries out", () => {
    expect(watched((time_s) => 0.11 - 1e-5 * time_s, 6000).kept).toBe(false);
  });

  it("is over when the water has risen by 10 mm, and it stays known that what looks like this rest is none", () => {
    const state = watched(drawnDownTo(0.05), 200);
    noteKeptDown(state, 201, 0.0595, noise_m, rise_ms);
    expect(state.kept).toBe(true);
    noteKeptDown(state, 202, 0.0605, noise_m, rise_ms);
    expect(state).toMatchObject({ kept: false, inThisRest: true });
  });

  it("lasts over a gap if it was told before; else nobody knows how the water came down", () => {
    const told = watched(drawnDownTo(0.05), 200);
    forgetDescent(told);
    noteKeptDown(told, 4000, 0.05, noise_m, rise_ms);
    expect(told.kept).toBe(true);
    const untold = watched(drawnDownTo(0.05), 60);
    forgetDescent(untold);
    for (let time_s = 4000; time_s < 5000; time_s += 1) noteKeptDown(untold, time_s, 0.05, noise_m, rise_ms);
    expect(untold.kept).toBe(false);
  });

  it("is told after 2 min where the pump's own float calls for pumping all the same, until it no longer does", () => {
    const state = newKeptDown();
    noteStops(state, [0.1, 0.1, 0.1], null);
    const keptAt = (time_s: number, level_m: number, calls: boolean) => {
      noteKeptDown(state, time_s, level_m, noise_m, null, calls);
      return state.kept;
    };
    for (let time_s = 0; time_s < 134; time_s += 1) expect(keptAt(time_s, drawnDownTo(0.05)(time_s), true)).toBe(false);
    expect(keptAt(134, 0.05, false)).toBe(false);
    expect(keptAt(135, 0.05, true)).toBe(true);
    expect(keptAt(136, 0.065, true)).toBe(true);
    expect(keptAt(137, 0.065, false)).toBe(false);
  });

  it("is not told of a run that goes on lowering the water, however slowly and far: the sensor may hang elsewhere", () => {
    const state = newKeptDown();
    noteStops(state, [0.1, 0.1, 0.1], null);
    for (let time_s = 0; time_s < 600; time_s += 5) {
      noteKeptDown(state, time_s, 0.12 - 1.6e-4 * time_s, noise_m, null, true);
      expect(state.kept).toBe(false);
    }
  });

  it("is no rest in a trickle either: what has come in meanwhile is not taken for water that comes all at once", () => {
    const [inflow_m3s, pump_m3s, random] = [3e-6, 1e-3, randomOf("a float that hangs in a trickle")];
    const told: string[] = [];
    const analyzer = createAnalyzer(smallSite, {
      sink: { finding: ({ kind }, change) => change === "began" && told.push(kind) },
    });
    let [level_m, on] = [0.1, false];
    for (let t = 0; t < 42_000; t += 1) {
      const hangs = t > 30_000 && t < 30_600;
      on = hangs || (on ? level_m > 0.1 : level_m >= 0.3);
      level_m = Math.max(0.04, level_m + (inflow_m3s - (on ? pump_m3s : 0)) / area_m2);
      // what stands in the discharge comes back once the pump stops
      if (t === 30_600) level_m += 0.008;
      if (t % 2 === 0)
        analyzer.push(reading(startTime_s + t, { level_m: level_m + 0.001 * random.normal(), floatOn: on }));
    }
    analyzer.finish();
    expect(told).toEqual(["float-stuck-on"]);
    const { mean_lpm, peak } = analyzer.summary().inflow;
    expect((mean_lpm ?? 0) / 60_000 / inflow_m3s).toBeCloseTo(1, 1);
    expect((peak[60]?.lpm ?? 0) / 60_000 / inflow_m3s).toBeLessThan(1.5);
  });
});
