// What people do at a basin: a bucket poured in, a garden hose to test the pump, a hand that lifts the float.

import { describe, expect, it } from "vitest";
import { seededRandom } from "../../../daemon/sources/simulated/random.ts";
import { hour_s, play, pumpRate_lpm, startTime_s } from "./dirty-basin.ts";
import { expectSound, judged, kinds } from "./judge-dirt.ts";

/** 10 L in 5 s, in the middle of a rest. */
const bucketAt_s = 4 * hour_s + 200;
const pours = (t_s: number) => t_s >= bucketAt_s && t_s < bucketAt_s + 5;

describe("a bucket poured in", () => {
  const poured = play({ hours: 8, inflow_lpm: (t_s) => (pours(t_s) ? 124 : 4) });
  const found = judged(poured.readings, poured);

  it("loses no cycle and raises no finding", () => {
    expect(kinds(found)).toEqual([]);
    expect(found.missed).toEqual([]);
    expect(found.invented).toEqual([]);
  });

  it("is water that came in: it is in the mean", () => {
    expect(Math.abs((found.mean_lpm ?? 0) / poured.meanInflow_lpm - 1)).toBeLessThan(0.01);
  });

  it("is in the rest's own mean", () => {
    const rest = found.cycles.find(({ startedAt_s }) => startedAt_s > startTime_s + bucketAt_s);
    expect(Math.abs(((rest?.inflow?.flow_m3s ?? 0) * 60_000) / (4 + 10 / ((rest?.rest_s ?? 0) / 60)) - 1)).toBeLessThan(
      0.02,
    );
  });

  it("makes no peak that was not: 10 L in a minute at most, and as much over ten minutes and an hour", () => {
    expect(found.peak_lpm("60")).toBeLessThan(14 * 1.1);
    expect(found.peak_lpm("600")).toBeLessThan(5 * 1.1);
    expect(found.peak_lpm("3600")).toBeLessThan(4.17 * 1.05);
  });
});

describe("a garden hose that runs for twenty minutes", () => {
  const hosed = play({ hours: 8, inflow_lpm: (t_s) => (t_s > 4 * hour_s && t_s < 4 * hour_s + 1200 ? 19 : 4) });
  const found = judged(hosed.readings, hosed);

  it("is inflow, cycle by cycle and over ten minutes, and no finding", () => {
    expect(kinds(found)).toEqual([]);
    expect(found.missed).toEqual([]);
    expect(found.invented).toEqual([]);
    expect(Math.abs((found.mean_lpm ?? 0) / hosed.meanInflow_lpm - 1)).toBeLessThan(0.01);
    expect(Math.abs((found.peak_lpm("600") ?? 0) / 19 - 1)).toBeLessThan(0.05);
  });
});

describe("a hand that lifts the float", () => {
  /** For 3 to 6 s, now and then, with the water anywhere. */
  const lifts_s = [2, 2.5, 3, 3.3, 3.6, 4, 4.4, 4.8, 5.2, 5.6].map((h) => h * hour_s);
  const lifted = play({
    hours: 8,
    lifted: (t_s) => lifts_s.some((at_s, i) => t_s >= at_s && t_s < at_s + 3 + (i % 4)),
  });
  const found = judged(lifted.readings, lifted);

  it("makes a run like any other, and no finding", () => {
    expect(found.starts).toBe(lifted.runs.length);
    expect(found.missed).toEqual([]);
    expect(kinds(found)).toEqual([]);
    expectSound(found, lifted, 0.01, 0.2);
  });

  it("moves neither what the pump is said to move nor where it is said to stop", () => {
    const whole = found.cycles.filter(({ run_s }) => run_s > 10);
    for (const { pumpRate, stopLevel_m } of whole.slice(-10)) {
      expect(Math.abs(((pumpRate?.flow_m3s ?? 0) * 60_000) / pumpRate_lpm - 1)).toBeLessThan(0.08);
      expect(Math.abs((stopLevel_m ?? 0) - 0.15)).toBeLessThan(0.015);
    }
  });
});

describe("a basin into which all water pours by turns, as from a laundry", () => {
  it.each([1, 2])("is healthy, and its inflow is known (seed %d)", (seed) => {
    const random = seededRandom(seed, 3);
    const pours: { readonly from_s: number; readonly to_s: number; readonly lpm: number }[] = [];
    for (let from_s = 0; from_s < 30 * hour_s; from_s += 900 + 3000 * random.uniform())
      pours.push({ from_s, to_s: from_s + 60 + 80 * random.uniform(), lpm: 13 + 5 * random.uniform() });
    let now = 0;
    const inflow_lpm = (t_s: number) => {
      while ((pours[now]?.to_s ?? Number.POSITIVE_INFINITY) < t_s) now += 1;
      const pour = pours[now];
      return 0.05 + (pour !== undefined && t_s >= pour.from_s ? pour.lpm : 0);
    };
    const played = play({ hours: 30, seed, inflow_lpm });
    const found = judged(played.readings, played);
    expect(kinds(found)).toEqual([]);
    expect(found.missed).toEqual([]);
    expect(Math.abs((found.mean_lpm ?? Number.NaN) / played.meanInflow_lpm - 1)).toBeLessThan(0.03);
    const returned = found.cycles.filter(({ drainBack_m3 }) => (drainBack_m3 ?? 0) > 0.002);
    expect(returned.length).toBeLessThan(0.05 * found.cycles.length);
  });
});
