import { describe, expect, test } from "vitest";
import { createAnalyzer } from "../../../../analysis/analyzer.ts";
import { betweenTrips, type UsualRest } from "../../../../analysis/inflow/poured-in/between-trips.ts";
import { fitRest } from "../../../../analysis/inflow/rest/fit-rest.ts";
import { newRestMemory } from "../../../../analysis/inflow/rest/rest-memory.ts";
import { seededRandom } from "../../../../daemon/sources/simulated/random.ts";
import { area_m2, pumpRate_m3s, reading, smallSite, startTime_s } from "../../small-basin.ts";

const usual: UsualRest = { from_m3: 0.02, to_m3: 0.044, uTrip_m3: 2e-4 };
const rest_s = 1800;
const uEdges_s = 12;

/** A rest of so many readings whose volume goes as told, with its fit and that between the trips. */
function rest(
  volume_m3: (time_s: number) => number,
  interval_s = 30,
  noise_m3 = 1e-4,
  readingsInEach = 1,
  step_m3 = 0,
) {
  const random = seededRandom(5);
  const t = Float64Array.from({ length: rest_s / interval_s }, (_, i) => (i + 0.5) * interval_s);
  const y = t.map((time_s) => volume_m3(time_s) + random.normal(noise_m3));
  const samples = { t, y, weight: t.map(() => 1), count: t.length };
  const fit = fitRest(samples, rest_s, {
    returns: null,
    memory: newRestMemory(),
    fall_m3s: null,
    stopSeen: true,
    mostReturn_m3: 0.03,
    edgesVague: true,
  });
  if (fit === undefined) throw new Error("a rest of so many readings has a fit");
  const readings = readingsInEach * samples.count;
  return { fit, samples, whole: betweenTrips(fit, samples, readings, rest_s, usual, uEdges_s, step_m3) };
}

const seeping = (time_s: number) => 0.02 + (0.006 * time_s) / rest_s;
const meanFromTripToTrip_m3s = 0.024 / rest_s;

describe("a rest between the trips of its float", () => {
  test("holds water that poured in just before the start, though a single reading shows it", () => {
    const { fit, whole } = rest((time_s) => seeping(time_s) + (time_s > rest_s - 30 ? 0.012 : 0));
    expect(fit.inflow.flow_m3s).toBeLessThan(0.5 * meanFromTripToTrip_m3s);
    expect(whole?.inflow.flow_m3s).toBeCloseTo(meanFromTripToTrip_m3s, 6);
    expect(whole?.endVolume_m3).toBe(usual.to_m3);
  });

  test("holds water that went on pouring in after the stop", () => {
    const { whole } = rest((time_s) => seeping(time_s) + (time_s > 30 ? 0.018 : 0.004));
    expect(Math.abs((whole?.inflow.flow_m3s ?? 0) / meanFromTripToTrip_m3s - 1)).toBeLessThan(0.03);
    expect(whole?.startVolume_m3).toBe(usual.from_m3);
  });

  test("has that water where it came, and the run beside it what went on", () => {
    const { whole } = rest((time_s) => seeping(time_s) + (time_s > rest_s - 30 ? 0.012 : 0));
    const parts = whole?.inflowParts(30) ?? [];
    const seeps_m3s = 0.006 / rest_s;
    for (const flow_m3s of parts.slice(0, 28)) expect(Math.abs(flow_m3s / seeps_m3s - 1)).toBeLessThan(0.2);
    expect(parts.slice(28).reduce((sum, flow_m3s) => sum + flow_m3s, 0)).toBeGreaterThan((0.9 * 0.018) / 60);
    expect(whole?.turns_s?.last).toBeGreaterThan(rest_s - 90);
    expect(whole?.inflowOver(rest_s - 30, rest_s).flow_m3s).toBeGreaterThan(5 * seeps_m3s);
  });

  test("holds what poured in where the last reading is of the run already", () => {
    const { whole } = rest((time_s) =>
      time_s > rest_s - 30 ? 0.03 : seeping(time_s) + (time_s > rest_s - 60 ? 0.01 : 0),
    );
    expect(whole?.endVolume_m3).toBe(usual.to_m3);
    expect(whole?.inflow.flow_m3s).toBeCloseTo(meanFromTripToTrip_m3s, 6);
  });

  test("is known no better than the trips and its length are", () => {
    const { whole } = rest((time_s) => seeping(time_s) + (time_s > rest_s - 30 ? 0.012 : 0));
    expect(whole?.inflow.uFlow_m3s).toBeGreaterThan((meanFromTripToTrip_m3s * uEdges_s) / rest_s);
    expect(whole?.inflow.uFlow_m3s).toBeLessThan(0.05 * meanFromTripToTrip_m3s);
  });

  test("is what the curve says where a float was lifted by hand: no reading shows that water came", () => {
    expect(rest(seeping).whole).toBeNull();
  });

  test("is that also by a sensor of coarse steps, which shows no rise from most readings to the next", () => {
    const step_m3 = 0.0005;
    const stepped = (time_s: number) => step_m3 * Math.round(seeping(time_s) / step_m3);
    expect(rest(stepped, 10, 0).whole).toBeNull();
  });

  test("is that too where the float hangs lower since, though such steps lay the pace of most of the rest a little off", () => {
    const analyzer = createAnalyzer(smallSite);
    const random = seededRandom(1);
    const [fills_s, step_m, interval_s] = [1200, 0.005, 10];
    let [level_m, pumpOn] = [0.1, false];
    for (let time_s = 0; time_s < 100_000; time_s += 1) {
      const start_m = time_s < 50_000 ? 0.3 : 0.25;
      pumpOn = pumpOn ? level_m > 0.1 : level_m >= start_m;
      const said_m = step_m * Math.round((level_m + random.normal(0.001)) / step_m);
      if (time_s % interval_s === 0) analyzer.push(reading(startTime_s + time_s, { level_m: said_m, pumpOn }));
      level_m += 0.2 / fills_s - (pumpOn ? pumpRate_m3s / area_m2 : 0);
    }
    analyzer.finish();
    const inflow_lpm = (60_000 * 0.2 * area_m2) / fills_s;
    expect(Math.abs((analyzer.summary().inflow.peak["60"]?.lpm ?? 0) / inflow_lpm - 1)).toBeLessThan(0.1);
  });

  test("is what the curve says where that reaches from trip to trip", () => {
    expect(rest((time_s) => 0.02 + (0.024 * time_s) / rest_s).whole).toBeNull();
  });

  test("holds what poured in and not what is told to have run back, which the curve has at its beginning", () => {
    const leaky = rest((time_s) => seeping(time_s) + 0.018 - (time_s < 45 ? 0.004 : 0));
    const returned_m3 = 0.006;
    const told = { ...leaky.fit, drainBack: { volume_m3: returned_m3, time_s: 60, course: "steady" as const } };
    const whole = betweenTrips(told, leaky.samples, leaky.samples.count, rest_s, usual, uEdges_s, 0);
    expect(whole?.startVolume_m3).toBe(usual.from_m3 + returned_m3);
    const flow_m3s = (leaky.whole?.inflow.flow_m3s ?? 0) - returned_m3 / rest_s;
    expect(whole?.inflow.flow_m3s).toBeCloseTo(flow_m3s, 9);
  });

  test("holds a bucket that started the pump, of which a reading in five seconds shows a part", () => {
    const { fit, whole } = rest((time_s) => seeping(time_s) + (time_s > rest_s - 5 ? 0.005 : 0), 5);
    expect(fit.inflow.flow_m3s).toBeLessThan(0.5 * meanFromTripToTrip_m3s);
    expect(whole?.inflow.flow_m3s).toBeCloseTo(meanFromTripToTrip_m3s, 6);
  });

  test("says nothing of water after the stop, which readings each five seconds show", () => {
    expect(rest((time_s) => seeping(time_s) + 0.018 - (time_s < 5 ? 0.012 : 0), 5).whole).toBeNull();
  });

  test("is what the curve says where readings are close together", () => {
    expect(rest((time_s) => seeping(time_s) + (time_s > rest_s - 30 ? 0.012 : 0), 2).whole).toBeNull();
  });

  test("is that also where each of its samples stands for many, as in a long rest", () => {
    expect(rest((time_s) => seeping(time_s) + (time_s > rest_s - 30 ? 0.012 : 0), 30, 1e-4, 30).whole).toBeNull();
  });
});
