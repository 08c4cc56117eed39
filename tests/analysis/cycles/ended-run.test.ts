import { describe, expect, it } from "vitest";
import { endedRun } from "../../../analysis/cycles/ended-run.ts";
import { addSample, emptySamples, restartSamples } from "../../../analysis/cycles/samples.ts";
import type { TrackerContext } from "../../../analysis/cycles/tracker-context.ts";
import { basinGeometry } from "../../../analysis/geometry/basin.ts";
import { silentOutput } from "../silent-output.ts";
import { area_m2, smallSite } from "../small-basin.ts";

const context: TrackerContext = {
  basin: smallSite.basin,
  geometry: basinGeometry(smallSite.basin.geometry),
  interval_s: 1,
  inferred: false,
  typicalRun_s: 20,
  hasLevel: true,
  longInterval_s: 1,
  resolution_m: 0.0001,
  output: silentOutput,
};

/** A run read once a second; the pump stops at 0.1 m. */
function run(run_s: number, level_m: (t: number) => number) {
  const samples = emptySamples();
  restartSamples(samples, 1000);
  for (let t = 0; t < run_s; t += 1) addSample(samples, 1000 + t, area_m2 * level_m(t));
  return endedRun(samples, context, 1000, 1000 + run_s, null, null);
}

describe("endedRun", () => {
  it("takes a long run whose water stops falling under the stop level for dry from there on", () => {
    // 10 mm/s down from 1 m: at the stop level after 90 s, at the pump's intake after 94.
    const dry = run(900, (t) => Math.max(0.06, 1 - 0.01 * t));
    expect(dry.wet_s).toBeGreaterThan(85);
    expect(dry.wet_s).toBeLessThan(95);
    expect(dry).toMatchObject({ course: null, late: null, parts: [] });
  });

  it("reads the fall off what surely came before a stop that a bouncing contact hid", () => {
    // 10 mm/s down, by a sensor of some millimetres' noise, and the pump stops 1.2 s before the contact first says so.
    const samples = emptySamples();
    restartSamples(samples, 1000);
    for (let i = 0; i < 80; i += 1) {
      const noise_m = [0.003, -0.003, -0.003, 0.003][i % 4] as number;
      addSample(samples, 1000 + i / 5, area_m2 * (0.3 - 0.01 * Math.min(i / 5, 14.8) + noise_m));
    }
    const fall_ms = (hidden_s: number) => {
      const ended = endedRun(samples, { ...context, interval_s: 0.2, hidden_s }, 1000, 1016, null, null);
      return (ended.whole?.flow_m3s ?? 0) / area_m2;
    };
    expect(Math.abs(fall_ms(1.2) - 0.01)).toBeLessThan(1e-4);
    expect(0.01 - fall_ms(0)).toBeGreaterThan(1e-4);
  });

  it("takes all that such a contact was read to stay on after the stop for no part of the fall, also in a short run", () => {
    const samples = emptySamples();
    restartSamples(samples, 1000);
    for (let i = 0; i < 12; i += 1) {
      const noise_m = [0.001, -0.001, -0.001, 0.001][i % 4] as number;
      addSample(samples, 1000 + i, area_m2 * (0.3 - 0.01 * Math.min(i, 8.8) + noise_m));
    }
    // A bounce of 2.6 s, and the reading after it.
    const ended = endedRun(samples, { ...context, interval_s: 1, hidden_s: 2.6 }, 1000, 1012, null, null);
    expect(Math.abs((ended.whole?.flow_m3s ?? 0) / area_m2 - 0.01)).toBeLessThan(3e-4);
    expect(ended.stopVolume_m3 ?? 0).toBeCloseTo(area_m2 * 0.212, 3);
  });

  it("takes how fast the water fell while there was some from that time alone, whatever the hours after it", () => {
    const dry = run(7200, (t) => Math.max(0.06, 0.3 - 0.01 * t));
    expect(dry.wet_s).toBeLessThan(25);
    expect((dry.early?.flow_m3s ?? 0) / area_m2).toBeCloseTo(0.01, 3);
  });

  it("takes one that is down there within its first minute for dry, however it came there", () => {
    expect(run(900, () => 0.09).wet_s).toBeLessThan(15);
  });

  it("takes a storm that lets the water down slowly, to a little under the stop level as it is given, for no dry pump", () => {
    // From 0.3 m to 0.097 m within an hour: the last 3 mm take 53 s.
    const held = run(3600, (t) => 0.3 - (0.203 * t) / 3600);
    expect(held.wet_s).toBe(3600);
    expect(held.course?.count).toBeGreaterThan(200);
  });

  it("takes no two spikes in the first minute of a run that goes on high up for water that is down", () => {
    const spiked = run(900, (t) => (t === 20 ? 0 : t === 21 ? -0.05 : 0.3 + 1e-5 * t));
    expect(spiked.wet_s).toBe(900);
  });

  it("takes a storm in which the water rises again, down at the stop level, for no dry pump", () => {
    const overtaken = run(3600, (t) => 0.095 + 2e-6 * (t - 300) ** 2 * (t < 300 ? 1 : 0.02));
    expect(overtaken.wet_s).toBe(3600);
  });

  it("says nothing of how fast it fell before where too few readings show that", () => {
    const samples = emptySamples();
    restartSamples(samples, 1000);
    for (let t = 0; t < 9000; t += 10) addSample(samples, 1000 + t, area_m2 * Math.max(0.06, 0.3 - 0.008 * t));
    const far = { ...context, interval_s: 10, longInterval_s: 10 };
    const dry = endedRun(samples, far, 1000, 10_000, null, null);
    expect(dry.wet_s).toBeLessThan(40);
    expect(dry).toMatchObject({ early: null, late: null });
  });

  it("says no rate of a long run that moved next to nothing until it came free, and the one rate of a steady one", () => {
    const rateOf = (level_m: (t: number) => number) => {
      const samples = emptySamples();
      restartSamples(samples, 1000);
      for (let t = 0; t < 600; t += 1) addSample(samples, 1000 + t, area_m2 * level_m(t));
      const inflow = { flow_m3s: 0, uFlow_m3s: 0, degreesOfFreedom: 10, method: "fill-slope" } as const;
      const at = { inflow, time_s: 900 };
      const before = { inflow, rest_s: 500, startVolume_m3: null, endVolume_m3: null, first: at, last: at };
      return endedRun(samples, context, 1000, 1600, before, null).cycle.pumpRate;
    };
    expect(rateOf((t) => 1 - 1e-5 * t - (t > 530 ? 0.01 * (t - 530) : 0))).toBeNull();
    expect((rateOf((t) => 1 - 1e-3 * t)?.flow_m3s ?? 0) / area_m2).toBeCloseTo(1e-3, 5);
  });

  it("leaves a short run as it is", () => {
    const short = run(20, (t) => 0.3 - 0.01 * t);
    expect(short.wet_s).toBe(20);
    expect((short.whole?.flow_m3s ?? 0) / (0.01 * area_m2)).toBeCloseTo(1, 6);
    // In its middle at full speed, half a reading before the middle of what was seen of it.
    expect(short.meanLevel_m).toBeCloseTo(0.3 - 0.01 * 10, 6);
  });

  it("says by how much the fall slows as the level falls, and how sure that is", () => {
    // From 1.2 to 0.8 L/s over 40 s, so 0.185 L/s between the middles of its halves from 3 s on.
    const bent = run(40, (t) => 0.6 - (1.2e-3 * t - (0.4e-3 * t ** 2) / 80) / area_m2 + (t % 2 ? 1e-4 : -1e-4));
    expect((bent.halves?.flowDrop_m3s ?? 0) * 1000).toBeCloseTo((0.4 / 40) * 18, 1);
    expect(bent.halves?.uFlowDrop_m3s).toBeGreaterThan(0);
    expect(bent.halves?.uFlowDrop_m3s).toBeLessThan(0.02e-3);
  });
});
