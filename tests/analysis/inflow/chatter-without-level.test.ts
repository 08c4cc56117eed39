import { describe, expect, it } from "vitest";
import type { Reading } from "../../../analysis/readings/reading.ts";
import { randomOf } from "../../truth/random.ts";
import { analyse } from "../analyse.ts";
import { area_m2, reading, smallSite, startTime_s } from "../small-basin.ts";

const pump_m3s = 1e-3;
const inflow_m3s = 1e-4;

type Span = readonly [number, number];

/** Eight hours each second by the contact alone; at times the float opens and closes for so long as the water comes up to it. */
function chatteringFloat(
  [chatterFrom_s, chatterTo_s]: Span,
  [least_s, most_s]: Span = [1, 4],
  moves_m3s = pump_m3s,
  ...seed: readonly number[]
): Reading[] {
  const random = randomOf("a float that chatters, without a level", ...seed);
  const readings: Reading[] = [];
  let [level_m, called, broken, next_s] = [0.2, false, false, 0];
  for (let t = 0; t < 8 * 3600; t += 1) {
    if (level_m >= 0.3) called = true;
    else if (level_m <= 0.1) called = false;
    const chatters = called && t >= chatterFrom_s && t < chatterTo_s && level_m > 0.22;
    if (t >= next_s) [broken, next_s] = [!broken, t + random.between(least_s, most_s)];
    const on = called && !(chatters && broken);
    level_m += (inflow_m3s - (on ? moves_m3s : 0)) / area_m2;
    readings.push(reading(startTime_s + t, { pumpOn: on }));
  }
  return readings;
}

const hours = (from: number, to: number): Span => [from * 3600, to * 3600];

describe.each([
  ["for an hour", hours(4, 5), undefined],
  ["in the first hour", hours(0, 1), undefined],
  ["all the time", hours(0, 8), undefined],
  ["slowly and all the time", hours(0, 8), [3, 10]],
] as const)("a float that chatters %s, by the pump's contact alone", (_, when_s, each_s) => {
  const { summary } = analyse(smallSite, chatteringFloat(when_s, each_s));

  it("fills the basin no faster for that", () => {
    expect(Math.abs((summary.inflow.mean_lpm ?? 0) / 6 - 1)).toBeLessThan(0.1);
    for (const window of ["60", "600", "3600"] as const) expect(summary.inflow.peak[window]?.lpm).toBeLessThan(1.2 * 6);
  });

  it("pumps out what has come in, and is no pump too small for that", () => {
    expect(Math.abs((summary.totals.pumped_l ?? 0) / (8 * 60 * 6) - 1)).toBeLessThan(0.1);
    expect(summary.findings.map(({ kind }) => kind)).toEqual(["short-cycling"]);
  });
});

it.each([hours(4, 5), hours(0, 1)])(
  "is the cause, and stays it though its starts count for an hour yet",
  (...when_s) => {
    const { summary } = analyse(smallSite, chatteringFloat(when_s));
    expect(summary.findings.map(({ evidence }) => evidence.cause)).toEqual(["float-chatter"]);
  },
);

it.each([5, 10, 15])("makes no peaks of fills that no pump could have drawn out between, read each %i s", (each_s) => {
  const rows = chatteringFloat(hours(4, 5), [3, 10]).filter((_, t) => t % each_s === 0);
  const { summary } = analyse(smallSite, rows);
  for (const window of ["60", "600", "3600"] as const) expect(summary.inflow.peak[window]?.lpm).toBeLessThan(2 * 6);
});

it("makes no quick pump of one whose runs are seen by five readings once its float no longer chatters", () => {
  // 20 L in 50 s at 30 L/min while 6 L/min come in: 120 cycles in eight hours, of an hour of which the float makes more.
  const rows = chatteringFloat(hours(0, 1), [1, 4], 5e-4, 4).filter((_, t) => t % 10 === 0);
  const { inflow, totals } = analyse(smallSite, rows).summary;
  expect(inflow.mean_lpm).toBeLessThan(1.5 * 6);
  expect(totals.starts).toBeLessThan(1.2 * 120);
});

/** Each second by the contact alone; the float hangs up for 20 min as the pump runs, and is let go of in mid-water. */
function heldOn(): Reading[] {
  const readings: Reading[] = [];
  const heldFrom_s = 12 * 220;
  for (let t = 0; t < 6 * 3600; t += 1) {
    const held = t >= heldFrom_s && t < heldFrom_s + 1200;
    const since_s = t < heldFrom_s ? t : t - heldFrom_s - 1200 + 190;
    readings.push(reading(startTime_s + t, { pumpOn: held || since_s % 220 >= 200 }));
  }
  return readings;
}

it("fills no basin after a run that a float held on, and was let go of in mid-water", () => {
  const { summary, cycles } = analyse(smallSite, heldOn());
  expect(summary.inflow.peak[600]?.lpm).toBeLessThan(1.2 * 6);
  const after = cycles.findIndex(({ run_s }) => run_s > 1000) + 1;
  expect(cycles[after]).toMatchObject({ inflow: null, pumpRate: null });
});

it("is none where a storm makes a recording's first cycles quick: each is as long as the others", () => {
  // 20 L in 12 s at 100 L/min, out again in 15 s.
  const cycle_s = 27;
  const brisk = Array.from({ length: 2 * 3600 }, (_, t) => reading(startTime_s + t, { pumpOn: t % cycle_s >= 12 }));
  const { summary } = analyse(smallSite, brisk);
  expect(Math.abs((summary.inflow.mean_lpm ?? 0) / 100 - 1)).toBeLessThan(0.05);
  expect(summary.totals.pumped_l).not.toBeNull();
});

it("is no run of minutes of a large pit, of which each fill counts", () => {
  const { basin } = smallSite;
  // 400 L between the floats: 400 s at 66 L/min out while 6 L/min come in.
  const pit = { ...smallSite, basin: { ...basin, geometry: { ...basin.geometry, length_m: 8 } } };
  const [rest_s, run_s] = [4000, 400];
  const slow = Array.from({ length: 8 * (rest_s + run_s) }, (_, t) =>
    reading(startTime_s + t, { pumpOn: t % (rest_s + run_s) >= rest_s }),
  );
  const { cycles } = analyse(pit, slow);
  expect(cycles.filter(({ inflow }) => inflow === null).length).toBeLessThanOrEqual(1);
});

it.each([1, 2])(
  "takes the rests of water that pours in as the pump stops for whole ones, asked each %i s",
  (every_s) => {
    const readings: Reading[] = [];
    let [level_m, on, inflow_m3] = [0.2, false, 0];
    for (let t = 0; t < 24 * 3600; t += 1) {
      if (level_m >= 0.3) on = true;
      else if (level_m <= 0.1) on = false;
      // 20 L/min for two minutes now and then, else 1.
      const inflow_m3s = (t % 1234 < 120 ? 20 : 1) / 60_000;
      inflow_m3 += inflow_m3s;
      level_m += (inflow_m3s - (on ? 1.1e-3 : 0)) / area_m2;
      if (t % every_s === 0) readings.push(reading(startTime_s + t, { pumpOn: on }));
    }
    const { mean_lpm } = analyse(smallSite, readings).summary.inflow;
    expect((mean_lpm ?? 0) / ((1000 * inflow_m3) / (24 * 60))).toBeGreaterThan(0.93);
  },
);
