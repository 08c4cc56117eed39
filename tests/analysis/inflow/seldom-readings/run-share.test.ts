import { describe, expect, it } from "vitest";
import type { Reading } from "../../../../analysis/readings/reading.ts";
import { seededRandom } from "../../../../daemon/sources/simulated/random.ts";
import { analyse } from "../../analyse.ts";
import { area_m2, reading, siteWithCurve, smallSite, startTime_s } from "../../small-basin.ts";

const lpm = 60_000;
const hour_s = 3600;
const active_m3 = 0.2 * area_m2;

/** Rests and runs one after the other, while the inflow goes its way; `null` for the contact: the level alone. */
function readAt(
  every_s: number,
  pump_m3s: number,
  hours: number,
  inflow_m3s: (time_s: number) => number,
  contact = true,
) {
  const readings: Reading[] = [];
  let [volume_m3, on, cameIn_m3] = [0.1 * area_m2, false, 0];
  let [starts, ran_s] = [0, 0];
  for (let t = 0; t < hours * hour_s; t += 1) {
    const q = inflow_m3s(t);
    cameIn_m3 += q;
    volume_m3 += q - (on ? pump_m3s : 0);
    if (!on && volume_m3 >= 0.3 * area_m2) {
      on = true;
      starts += 1;
    }
    if (on && volume_m3 <= 0.1 * area_m2) on = false;
    ran_s += Number(on);
    if (t % every_s === 0) {
      readings.push(reading(startTime_s + t, { level_m: volume_m3 / area_m2, pumpOn: contact ? on : null }));
    }
  }
  return { readings, mean_m3s: cameIn_m3 / (hours * hour_s), starts, ran_s };
}

/** Calm for days, though not so steady that cycles keep step with the readings; then up to `peak_m3s` and back in hours. */
function storm(peak_m3s: number, from_s: number, length_s: number) {
  return (time_s: number) => {
    const part = (time_s - from_s) / length_s;
    const calm_m3s = 2e-5 * (1 + 0.3 * Math.sin((2 * Math.PI * time_s) / (7 * hour_s)));
    return calm_m3s + (part > 0 && part < 1 ? peak_m3s * Math.sin(Math.PI * part) ** 2 : 0);
  };
}

describe("inflow read too seldom to follow the runs", { timeout: 300_000 }, () => {
  // Runs of 20 s and rests of 30 s at the peak: hardly one in three is seen, and some hours run in step with the readings.
  const pump_m3s = 1.2e-3;
  const peak_m3s = 4.5e-4;
  const stormOf = storm(peak_m3s, 60 * hour_s, 14 * hour_s);
  const storms = readAt(60, pump_m3s, 96, stormOf);
  const { said, cycles, summary } = analyse(smallSite, storms.readings);

  it("comes out by cycles and running time, within what is stated", () => {
    const { inflow } = summary;
    const mean_lpm = storms.mean_m3s * lpm;
    expect(Math.abs((inflow.mean_lpm ?? 0) - mean_lpm)).toBeLessThan(inflow.mean_u95_lpm ?? 0);
    expect((inflow.mean_lpm ?? 0) / mean_lpm).toBeCloseTo(1, 0.9);
    const hour = inflow.peak["3600"];
    expect(Math.abs((hour?.lpm ?? 0) - peak_m3s * lpm)).toBeLessThan(hour?.u95_lpm ?? 0);
    expect(hour?.at_least).toBeUndefined();
  });

  it("and so does what was pumped", () => {
    const { totals } = summary;
    const pumped_l = storms.mean_m3s * 96 * hour_s * 1000;
    expect(Math.abs((totals.pumped_l ?? 0) - pumped_l)).toBeLessThan((totals.pumped_u95_l ?? 0) + 1000 * active_m3);
  });

  it("and how often the pump started, of which hardly a third was seen", () => {
    expect(Math.abs(summary.totals.starts / storms.starts - 1)).toBeLessThan(0.03);
  });

  it("tells that the pump starts too often, as often as it does at the peak", () => {
    const [often] = summary.findings.filter(({ kind }) => kind === "short-cycling");
    expect(often?.evidence).toMatchObject({ cause: "high-inflow", starts_told_by: "what-comes-in" });
    // With 4.7e-4 m³/s a rest and a run of the volume between the floats.
    const most = hour_s / (active_m3 / 4.7e-4 + active_m3 / (pump_m3s - 4.7e-4));
    expect(Math.abs(Number(often?.evidence.starts_in_an_hour) / most - 1)).toBeLessThan(0.1);
    expect(Number(often?.evidence.starts_at_least)).toBeLessThan(most);
    expect(Math.abs(summary.totals.most_starts_in_an_hour / most - 1)).toBeLessThan(0.1);
  });

  it("tells that of most rests of a few readings, and of none as if the pump had not run between them", () => {
    const rests = cycles.filter(({ rest_s }) => (rest_s ?? 0) >= 180);
    const told = rests.flatMap(({ inflow, startedAt_s, rest_s }) => {
      const middle_s = startedAt_s - startTime_s - (rest_s ?? 0) / 2;
      return inflow === null ? [] : [inflow.flow_m3s / stormOf(middle_s)];
    });
    expect(told.length / rests.length).toBeGreaterThan(0.75);
    expect(Math.max(...told.map((ratio) => Math.abs(ratio - 1)))).toBeLessThan(0.35);
  });

  it("is told of each rest of a steady house in which a cycle lasts for five readings", () => {
    // Runs of 20 s, of which two in three fall between two readings.
    const { readings } = readAt(60, pump_m3s, 48, () => 7e-5);
    const inflow = analyse(smallSite, readings).cycles.map((cycle) => cycle.inflow);
    expect(inflow.length).toBeGreaterThan((0.98 * 48 * hour_s) / (active_m3 / 7e-5 + 30));
    const told = inflow.flatMap((one) => (one === null ? [] : [one.flow_m3s / 7e-5]));
    expect(told.length / inflow.length).toBeGreaterThan(0.97);
    expect(Math.max(...told.map((ratio) => Math.abs(ratio - 1)))).toBeLessThan(0.05);
  });

  // The site has no curve: what the pump moves is known by how runs lower the level before the storm.
  it.each([10, 15])("comes out by the level alone, read every %i s", (every_s) => {
    const { readings, mean_m3s } = readAt(every_s, pump_m3s, 84, storm(peak_m3s, 60 * hour_s, 14 * hour_s), false);
    const { inflow, totals } = analyse(smallSite, readings).summary;
    expect(Math.abs((inflow.mean_lpm ?? 0) / (mean_m3s * lpm) - 1)).toBeLessThan(0.02);
    for (const window of ["60", "600", "3600"] as const) {
      expect(Math.abs((inflow.peak[window]?.lpm ?? 0) / (4.7e-4 * lpm) - 1)).toBeLessThan(0.04);
      expect(inflow.peak[window]?.at_least).toBeUndefined();
    }
    expect(Math.abs((totals.pumped_l ?? 0) / (mean_m3s * 84 * hour_s * 1000) - 1)).toBeLessThan(0.03);
  });

  // The published curve gives about what the pump moves.
  const curve = [0, 5e-4, 1e-3, 1.5e-3].map((flow_m3s, i) => ({ flow_m3s, head_m: 3.6 - 0.4 * i - 0.1 * i * i }));
  const site = {
    ...smallSite,
    pump: { curve, maxStartsPerHour: 20, minRun_s: 8 },
    discharge: {
      highPoint_m: 2.5,
      pipe: { material: "pvc-40", nominal_m: 0.0508, insideDiameter_m: null, length_m: 4 },
      fittings: [],
    },
  } as const;

  it("is followed between the levels at which the float was seen to trip, where the site file states none", () => {
    const bare = { ...site, basin: { ...site.basin, startLevel_m: null, stopLevel_m: null } };
    const { readings } = readAt(20, 1e-3, 16, storm(6e-4, 6 * hour_s, 8 * hour_s));
    const hour = analyse(bare, readings).summary.inflow.peak["3600"];
    expect(Math.abs((hour?.lpm ?? 0) / (6.2e-4 * lpm) - 1)).toBeLessThan(0.04);
    expect(hour?.at_least).toBeUndefined();
  });

  it("tells by the level alone how often and how long the pump ran, though it shows none of the runs by itself", () => {
    // Runs of half a minute and rests of three quarters.
    const brisk = readAt(30, 1e-3, 4, (t) => 4e-4 + 5e-5 * Math.sin(t / 2000), false);
    const { totals } = analyse(site, brisk.readings).summary;
    expect(Math.abs(totals.starts / brisk.starts - 1)).toBeLessThan(0.06);
    expect(Math.abs(totals.run_s / brisk.ran_s - 1)).toBeLessThan(0.06);
    expect(Math.abs((totals.pumped_l ?? 0) / (brisk.mean_m3s * 4 * hour_s * 1000) - 1)).toBeLessThan(0.06);
  });

  it("is left to rests and runs where a noisy level only seems to fall again and again", () => {
    const { readings, mean_m3s } = readAt(10, 2e-3, 36, storm(0, 0, 1));
    const noisy = readings.map((one, i) => ({ ...one, level_m: (one.level_m ?? 0) + 0.012 * Math.sin(i * i) }));
    const { inflow } = analyse(smallSite, noisy).summary;
    expect(Math.abs((inflow.mean_lpm ?? 0) / (mean_m3s * lpm) - 1)).toBeLessThan(0.03);
    expect(inflow.peak["3600"]?.lpm).toBeLessThan(1.6 * mean_m3s * lpm);
  });

  // A quick cycle of it lasts about a minute, and would take a rough level from any of these to the next.
  it("is not that of quick cycles where a rough level each minute is now and then wrong, and the pump hardly runs", () => {
    const { readings, mean_m3s } = readAt(60, 1.4e-3, 14, () => 2.5e-5);
    const random = seededRandom(11);
    const rough = readings.map((one) => {
      const off_m = random.normal(0.005) + (random.uniform() < 0.015 ? 0.08 : 0);
      return { ...one, level_m: Math.round(((one.level_m ?? 0) + off_m) * 1000) / 1000 };
    });
    const { inflow, findings } = analyse(siteWithCurve(1.4e-3), rough).summary;
    expect(Math.abs((inflow.mean_lpm ?? 0) / (mean_m3s * lpm) - 1)).toBeLessThan(0.15);
    expect(findings).toEqual([]);
  });

  it("is not known by the level alone where that is read more seldom, and peaks are then said to be at least so high", () => {
    const { readings } = readAt(60, pump_m3s, 96, storm(peak_m3s, 60 * hour_s, 14 * hour_s), false);
    const { inflow } = analyse(smallSite, readings).summary;
    expect(inflow.peak["3600"]?.at_least).toBe(true);
  });

  it.each([
    [2e-3, 0.4, 0.3],
    [2e-3, 0.6, 1],
    [3e-3, 0.7, 0.3],
  ])("says at least where a storm begins before anything is known of a pump of %f m³/s", (moves_m3s, share, from_h) => {
    // At the peak whole cycles go by between two readings: those that seem long are few.
    const { readings } = readAt(60, moves_m3s, 8, storm(share * moves_m3s, from_h * hour_s, 3 * hour_s));
    const hour = analyse(smallSite, readings).summary.inflow.peak["3600"];
    expect(hour?.lpm).toBeLessThan(0.7 * share * moves_m3s * lpm);
    expect(hour?.at_least).toBe(true);
  });

  it("is followed by rests and runs again when the storm is over", () => {
    const after = said.inflow.filter(({ from_s }) => from_s > startTime_s + 80 * hour_s);
    for (const { inflow_m3s } of after) expect(Math.abs(inflow_m3s * lpm - 1.2)).toBeLessThan(0.4);
    expect(after.length).toBeGreaterThan(50);
  });

  it("keeps its stretches joined: none overlaps the one before", () => {
    for (let i = 1; i < said.inflow.length; i += 1) {
      expect(said.inflow[i]?.from_s).toBeGreaterThanOrEqual((said.inflow[i - 1]?.to_s ?? 0) - 1e-6);
    }
  });

  it("comes out where rests are shorter than the time between readings, too", () => {
    // Readings every 10 s; the pump, loaded to nine tenths, rests for some 11 s at a time.
    const slow = readAt(10, 2e-3, 24, storm(1.75e-3, 16 * hour_s, 5 * hour_s));
    const { inflow } = analyse(smallSite, slow.readings).summary;
    expect((inflow.mean_lpm ?? 0) / (slow.mean_m3s * lpm)).toBeCloseTo(1, 1);
    expect((inflow.peak["600"]?.lpm ?? 0) / (1.77e-3 * lpm)).toBeCloseTo(1, 0.9);
  });

  it("is not the name for foam on the water, where a run is too long to hide between two readings", () => {
    // Every 10 s, for a day: runs of 40 s, 1.2 L/min; for eight hours every third reading or so lies up to 0.2 m too high.
    const { readings } = readAt(10, 6e-4, 24, () => 2e-5);
    const random = seededRandom(3);
    const foamy = readings.map((one) => {
      const foam = one.time_s - startTime_s > 8 * hour_s && one.time_s - startTime_s < 16 * hour_s;
      return { ...one, level_m: (one.level_m ?? 0) + (foam && random.uniform() < 0.35 ? 0.2 * random.uniform() : 0) };
    });
    const { inflow } = analyse(smallSite, foamy).summary;
    expect((inflow.mean_lpm ?? 0) / 1.2).toBeCloseTo(1, 1);
    expect(inflow.peak["3600"]?.lpm).toBeLessThan(1.5);
  });

  it("is not made of foam on the water where a run may hide between two readings, for the pump would be seen to run", () => {
    // Every 30 s, for a day: runs of 20 s, one in a quarter of an hour; for an hour the level is off by 90 mm each time.
    const { readings } = readAt(30, 1e-3, 24, () => 2e-5);
    const random = seededRandom(3);
    const foams = (time_s: number) => Math.floor((time_s - startTime_s) / hour_s) === 12;
    const foamy = readings.map((one) => ({
      ...one,
      level_m: (one.level_m ?? 0) + random.normal(foams(one.time_s) ? 0.09 : 0.001),
    }));
    const { inflow } = analyse(smallSite, foamy).summary;
    expect((inflow.mean_lpm ?? 0) / 1.2).toBeCloseTo(1, 1);
    expect(inflow.mean_at_least).toBe(true);
    expect(inflow.peak["3600"]?.lpm).toBeLessThan(1.5);
  });

  // Readings every 15 s; at the peak the pump runs for some 25 s and rests for 30 s, or 20 s and 75 s.
  it.each([
    ["four", 7e-4],
    ["six or seven", 2.5e-4],
  ])("comes out where a cycle holds %s readings, too many for the one way and too few for the other", (_, peak_m3s) => {
    const brisk = readAt(15, 1.2e-3, 84, storm(peak_m3s, 60 * hour_s, 14 * hour_s));
    const { inflow } = analyse(smallSite, brisk.readings).summary;
    expect(Math.abs((inflow.mean_lpm ?? 0) / (brisk.mean_m3s * lpm) - 1)).toBeLessThan(0.02);
    for (const window of ["600", "3600"] as const)
      expect(Math.abs((inflow.peak[window]?.lpm ?? 0) / ((peak_m3s + 2e-5) * lpm) - 1)).toBeLessThan(0.06);
  });
});
