import { describe, expect, it } from "vitest";
import { breakBursts, newBursts, noteBurst } from "../../../../analysis/inflow/seldom-readings/bursts.ts";
import type { Reading } from "../../../../analysis/readings/reading.ts";
import { randomOf } from "../../../truth/random.ts";
import { analyse } from "../../analyse.ts";
import { area_m2, reading, siteWithCurve, startTime_s } from "../../small-basin.ts";

const hour_s = 3600;
const lpm = 60_000;
const pump_m3s = 1.6e-3;

/** Taps of minutes beside what seeps in; what was said at each reading, by a sensor of such a time constant, and how much came in. */
function household(
  every_s: number,
  hours: number,
  taps: readonly { from_s: number; length_s: number }[],
  { lag_s = 1, moves_m3s = pump_m3s, scatter_m = 0 } = {},
) {
  const readings: Reading[] = [];
  let [volume_m3, on, cameIn_m3, shown_m3, starts] = [0.1 * area_m2, false, 0, 0.1 * area_m2, 0];
  const random = randomOf("trips");
  const trip_m3 = (level_m: number) => (level_m + scatter_m * random.normal()) * area_m2;
  let [start_m3, stop_m3] = [0.3, 0.1].map(trip_m3) as [number, number];
  for (let t = 0; t < hours * hour_s; t += 1) {
    const poured = taps.some(({ from_s, length_s }) => t >= from_s && t < from_s + length_s);
    const inflow_m3s = 1.5e-5 + (poured ? 2.5e-4 : 0);
    cameIn_m3 += inflow_m3s;
    volume_m3 += inflow_m3s - (on ? moves_m3s : 0);
    if (volume_m3 >= start_m3 && !on) [on, starts, stop_m3] = [true, starts + 1, trip_m3(0.1)];
    if (volume_m3 <= stop_m3 && on) [on, start_m3] = [false, trip_m3(0.3)];
    shown_m3 += (volume_m3 - shown_m3) / lag_s;
    if (t % every_s === 0) readings.push(reading(startTime_s + t, { level_m: shown_m3 / area_m2, pumpOn: on }));
  }
  const pumped_m3 = cameIn_m3 - (volume_m3 - 0.1 * area_m2);
  return { readings, cameIn_m3, pumped_m3, starts, mean_lpm: (cameIn_m3 / (hours * hour_s)) * lpm };
}

describe("taps beside a pump that takes seconds", () => {
  const taps = Array.from({ length: 10 }, (_, i) => ({
    from_s: (3 + 2 * i) * hour_s + 577 * i,
    length_s: 120 + 13 * i,
  }));

  it.each([
    [60, 0.06],
    [30, 0.03],
  ])("are told by the balance between readings %i s apart", (every_s, off) => {
    const { readings, mean_lpm, cameIn_m3, pumped_m3, starts } = household(every_s, 24, taps);
    const { summary, said } = analyse(siteWithCurve(pump_m3s), readings);
    const { inflow, totals } = summary;
    expect(Math.abs((inflow.mean_lpm ?? 0) / mean_lpm - 1)).toBeLessThan(off);
    // Where one is told, others went by unseen.
    expect([inflow.mean_at_least, inflow.peak["3600"]?.at_least]).toEqual([true, true]);
    // What came in beyond what the runs that were seen show was pumped beyond that, too, by runs beyond those.
    expect(Math.abs((totals.pumped_l ?? 0) / 1000 / pumped_m3 - 1)).toBeLessThan(off);
    expect(Math.abs(totals.starts / starts - 1)).toBeLessThan(off);
    expect([totals.pumped_about, totals.starts_about]).toEqual([true, true]);
    // Ten times as much as a tap brings would not trouble that pump.
    expect(summary.sizing.verdict).toBe("adequate");
    // Each stretch once, in order.
    said.inflow.slice(1).forEach(({ from_s }, i) => {
      expect(from_s).toBeGreaterThan((said.inflow[i]?.to_s ?? Number.NaN) - 0.01);
    });
    const told_m3 = said.inflow.reduce((sum, { from_s, to_s, inflow_m3s }) => sum + (to_s - from_s) * inflow_m3s, 0);
    expect(Math.abs(told_m3 / cameIn_m3 - 1)).toBeLessThan(off);
  });
});

it.each([
  [30, 20, pump_m3s],
  [20, 15, 8e-4],
])(
  "a level sensor read each %i s, and slower by %i s, sinks on beside a run, and shows no tap",
  (every_s, lag_s, moves_m3s) => {
    const { readings, starts } = household(every_s, 48, [], { lag_s, moves_m3s });
    const { inflow, totals } = analyse(siteWithCurve(moves_m3s), readings).summary;
    expect(Math.abs((inflow.mean_lpm ?? 0) / (1.5e-5 * lpm) - 1)).toBeLessThan(0.005);
    expect(inflow.peak["60"]?.lpm).toBeLessThan(1.1 * 1.5e-5 * lpm);
    expect([totals.starts, totals.starts_about, totals.pumped_about]).toEqual([starts, undefined, undefined]);
  },
);

it.each([
  [20, pump_m3s],
  [30, 1e-3],
])("a float that trips 15 mm higher or lower each time, read each %i s, shows no tap", (every_s, moves_m3s) => {
  const { readings } = household(every_s, 72, [], { moves_m3s, scatter_m: 0.015 });
  const { inflow } = analyse(siteWithCurve(moves_m3s), readings).summary;
  expect(Math.abs((inflow.mean_lpm ?? 0) / (1.5e-5 * lpm) - 1)).toBeLessThan(0.005);
  expect(inflow.peak["60"]?.lpm).toBeLessThan(1.1 * 1.5e-5 * lpm);
});

describe("a burst", () => {
  const context = {
    ...{ stop_m3: 0.01, active_m3: 0.02, scatter_m3: 0, pump_m3s: 1e-3 },
    ...{ interval_s: 60, noise_m3: 0, step_m3: 1e-5 },
  };
  /** At rest, but for those marked. */
  const told = (volumes_l: readonly (number | string)[]) => {
    const state = newBursts();
    return volumes_l.flatMap((volume, i) => {
      const on = typeof volume === "string";
      const said = noteBurst(state, { time_s: 60 * i, volume_m3: Number.parseFloat(`${volume}`) / 1000, on }, context);
      return said === null ? [] : [said];
    });
  };
  const calm_l = Array.from({ length: 14 }, (_, i) => 10.5 + 0.5 * i);
  const later_l = Array.from({ length: 6 }, (_, i) => 14 + 0.5 * i);

  it("is told with all that came in by it, once it is over", () => {
    // Up to the start within a minute, down to the stop, and 4 L more: nearly the 20 L between the floats.
    const [burst, ...others] = told([...calm_l, "29", ...later_l]);
    expect(others).toEqual([]);
    const came_m3 = burst?.steps.reduce((sum, { came }) => sum + came.volume_m3, 0) ?? 0;
    const calm_m3 = 0.5e-3 * ((burst?.steps.length ?? 0) - 2);
    expect(came_m3 - calm_m3).toBeGreaterThan(17e-3);
    expect(came_m3 - calm_m3).toBeLessThan(20e-3);
    // Before the start nothing had come back; after the stop it may have.
    expect(burst?.steps.map(({ returned_m3 }) => returned_m3 > 1e-3)).toEqual([false, true, false, false]);
  });

  it("is none of a level that is wrong once, nor of calm weather", () => {
    const wrong_l = [...calm_l];
    wrong_l[10] = 26;
    expect(told([...wrong_l, ...later_l.map((l) => l + 3.5)])).toEqual([]);
    expect(told([...calm_l, ...later_l.map((l) => l + 3.5)])).toEqual([]);
  });

  it("is none of a tap that the rest shows by itself", () => {
    expect(told([...calm_l, 22, 27, 27.5, 28, 28.5])).toEqual([]);
  });

  it("is none where levels are wrong again and again", () => {
    const spiky_l = Array.from({ length: 200 }, (_, i) => (i % 50 === 49 ? 26 : 10.5 + 0.02 * i));
    expect(told([...spiky_l, 16, "29", ...later_l])).toEqual([]);
    const clean_l = spiky_l.map((l, i) => (i % 50 === 49 ? 10.5 + 0.02 * i : l));
    expect(told([...clean_l, 16, "29", ...later_l])).toHaveLength(1);
  });

  it("is none of water that comes back after a stop, minute after minute", () => {
    const back_l = [19, 23, 25.5, 27, 27.6, 28.1, 28.6];
    expect(told([...calm_l.map((l) => l + 12), "12", ...back_l, "20", 11, 11.5, 12, 12.5])).toEqual([]);
  });

  it("is none of a run that holds a reading, where the level alone tells", () => {
    const state = newBursts();
    const volumes_l = [...calm_l.map((l) => l + 12.6), 22, 10.5, 11, 11.5];
    const said = volumes_l.map((l, i) => noteBurst(state, { time_s: 60 * i, volume_m3: l / 1000, on: null }, context));
    expect(said.filter((burst) => burst !== null)).toEqual([]);
    expect(state.burst).toBeNull();
  });

  it("is told by the level alone, with the runs between readings and the reading within one", () => {
    const state = newBursts();
    const volumes_l = [...calm_l, 24, 15, 28, 20, 11, 11.5, 12, 12.5];
    const said = volumes_l.map((l, i) => noteBurst(state, { time_s: 60 * i, volume_m3: l / 1000, on: null }, context));
    const [burst, ...others] = said.filter((one) => one !== null);
    expect(others).toEqual([]);
    expect(burst?.steps.filter(({ came }) => came.pumped_m3 > 0.019)).toHaveLength(1);
    expect(burst?.steps.filter(({ runs }) => runs)).toHaveLength(2);
    const came_m3 = burst?.steps.reduce((sum, { came }) => sum + came.volume_m3, 0) ?? 0;
    expect(came_m3).toBeGreaterThan(34e-3);
    expect(came_m3).toBeLessThan(42e-3);
  });

  it("is none of a storm", () => {
    const storm_l = Array.from({ length: 40 }, (_, i) => (i % 2 === 0 ? 14 : 26));
    expect(told([...calm_l, ...storm_l])).toEqual([]);
  });

  it("begins anew after a gap", () => {
    const state = newBursts();
    calm_l.forEach((volume_l, i) => {
      noteBurst(state, { time_s: 60 * i, volume_m3: volume_l / 1000, on: false }, context);
    });
    breakBursts(state);
    expect(state).toEqual({ ...newBursts(), readings: expect.any(Number), wrong: 0 });
  });
});
