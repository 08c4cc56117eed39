import { describe, expect, it } from "vitest";
import type { EndedRun, RestSummary } from "../../../analysis/cycles/ended-run.ts";
import { newCapability } from "../../../analysis/pump-flow/capability-state.ts";
import { inflowDuringRun, isImpaired } from "../../../analysis/pump-flow/inflow-during-run.ts";
import { learnRun } from "../../../analysis/pump-flow/learn-capability.ts";
import { flow, quietCycle } from "../findings/view.ts";
import { pumpRate_m3s } from "../small-basin.ts";

const capability = newCapability();
for (let i = 0; i < 5; i++) learnRun(capability, flow(pumpRate_m3s), Number.NaN);

function rest(flow_m3s: number, time_s: number): RestSummary {
  const inflow = { ...flow(flow_m3s), method: "fill-slope" } as const;
  const at = { inflow, time_s };
  return { inflow, rest_s: 200, startVolume_m3: 0.01, endVolume_m3: 0.03, first: at, last: at };
}

function run(run_s: number, before: RestSummary | null, change: Partial<EndedRun> = {}): EndedRun {
  return {
    cycle: { ...quietCycle, startedAt_s: 1000, run_s, stoppedAt_s: 1000 + run_s },
    before,
    whole: null,
    early: null,
    late: null,
    parts: [],
    stopVolume_m3: null,
    lastOver_m3: null,
    meanLevel_m: null,
    early_s: 0,
    lateStart_s: null,
    wet_s: run_s,
    course: null,
    halves: null,
    ...change,
  };
}

const flows = (found: ReturnType<typeof inflowDuringRun>) => found?.map(({ flow_m3s }) => flow_m3s);

describe("inflowDuringRun", () => {
  it("goes straight from the rest before a short run to the rest after it", () => {
    // 10 s parts of a run of 20 s; the rests' inflow is that of 10 s before and after.
    const found = inflowDuringRun(capability, run(20, rest(1e-4, 990)), rest(3e-4, 1030), true);
    expect(flows(found)).toEqual([expect.closeTo(1.75e-4, 12), expect.closeTo(2.25e-4, 12)]);
  });

  it("may have been anything between the two in a run of an hour that is no measure of it", () => {
    const [calm_m3s, storm_m3s] = [2e-6, 2.6e-4];
    const during = (run_s: number) =>
      inflowDuringRun(capability, run(run_s, rest(calm_m3s, 990)), rest(storm_m3s, 1010 + run_s), true) ?? [];
    const long = during(3600);
    const mean = (values: readonly number[]) => values.reduce((sum, value) => sum + value, 0) / values.length;
    expect(mean(long.map(({ flow_m3s }) => flow_m3s))).toBeCloseTo((calm_m3s + storm_m3s) / 2, 6);
    // It may have come to the storm's as soon as the run began.
    expect(2 * mean(long.map(({ uFlow_m3s }) => uFlow_m3s))).toBeGreaterThan((storm_m3s - calm_m3s) / 2);
    expect(mean(during(20).map(({ uFlow_m3s }) => uFlow_m3s))).toBeLessThan(0.1 * storm_m3s);
  });

  it("is what the pump moves less the fall of a short run, where a bucket has just been poured in", () => {
    const poured = run(20, rest(9e-4, 990), { whole: flow(pumpRate_m3s - 1.2e-4) });
    const found = inflowDuringRun(capability, poured, rest(1e-4, 1030), true);
    // It came in at anything from the one to the other while the pump came up to speed, for three seconds of the twenty.
    expect(flows(found)).toEqual([expect.closeTo(0.85 * 1.2e-4 + 0.15 * 5e-4, 12)]);
    expect(found?.[0]?.uFlow_m3s).toBeGreaterThan((8e-4 / Math.sqrt(12)) * (3 / 20));
  });

  it("is that in the first seconds which kept the volume from falling as a pump that comes up to speed lets it", () => {
    const [began_m3s, then_m3s] = [6e-4, 1.2e-4];
    // It moves nothing for half a second of the three.
    const fell_m3 = 2.5 * pumpRate_m3s - 3 * began_m3s + 17 * (pumpRate_m3s - then_m3s);
    const whole = flow(pumpRate_m3s - then_m3s);
    const poured = run(20, rest(9e-4, 990), { whole, stopVolume_m3: 0.03 - fell_m3 });
    const found = inflowDuringRun(capability, poured, rest(1e-4, 1030), true);
    expect(flows(found)).toEqual([expect.closeTo(0.85 * then_m3s + 0.15 * began_m3s, 12)]);
  });

  it("is no such difference where the pump moved less than it does", () => {
    const held = run(20, rest(9e-4, 990), { whole: flow(0) });
    const found = inflowDuringRun(capability, held, rest(1e-4, 1030), true);
    expect(flows(found)).toEqual([expect.closeTo(6e-4, 12), expect.closeTo(4e-4, 12)]);
  });

  it("is such a difference where water began to pour in just before the run, of which the end of the rest shows a part", () => {
    const began = rest(3e-5, 800);
    const last = { inflow: flow(1.6e-4), time_s: 994 };
    const during = (before: RestSummary) =>
      inflowDuringRun(capability, run(30, before, { whole: flow(pumpRate_m3s - 4.5e-4) }), rest(3e-5, 1100), true);
    const found = during({ ...began, last });
    expect(flows(found)).toEqual([expect.closeTo(4.5e-4, 12)]);
    expect(found?.[0]?.uFlow_m3s).toBeGreaterThan((4.5e-4 - 1.6e-4) / Math.sqrt(3) - 1e-9);
    // An end that was watched for longer has shown how fast it came: the pump was held back.
    const watched = during({ ...began, last: { ...last, time_s: 985, lasted_s: 30 } });
    expect(flows(watched)?.[0]).toBeLessThan(1.7e-4);
    // Nothing began: so it was.
    expect(flows(during(began))?.[0]).toBeCloseTo(3e-5, 12);
  });

  it("is that of the one rest that is known, for ten minutes at the most", () => {
    expect(flows(inflowDuringRun(capability, run(20, rest(1e-4, 990)), null, true))).toEqual([1e-4]);
    expect(inflowDuringRun(capability, run(700, rest(1e-4, 990)), null, true)).toBeNull();
    expect(inflowDuringRun(capability, run(20, null), null, true)).toBeNull();
  });

  it("is, in a long run, what the pump moves less what the volume falls by", () => {
    const parts = [5e-4, 1e-4, -1e-4].map((fall) => ({ fall: flow(fall), level_m: 0.2 }));
    const found = inflowDuringRun(capability, run(180, rest(6e-4, 990), { parts }), rest(1.2e-3, 1190), true);
    expect(flows(found)).toEqual([6e-4, 1e-3, 1.2e-3].map((q) => expect.closeTo(q, 12)));
  });

  it("takes a pump that is held back for no measure of it", () => {
    const parts = [{ fall: flow(3e-4), level_m: 0.2 }];
    const blocked = run(180, rest(1e-4, 990), { parts, early: flow(3e-4) });
    expect(flows(inflowDuringRun(capability, blocked, rest(1e-4, 1190), true))?.[0]).toBeCloseTo(1e-4, 12);
  });

  it("carries what poured in before a long run on for about as long again, and no more than may have gone on", () => {
    const parts = [{ fall: flow(3e-4), level_m: 0.2 }];
    for (const lasted_s of [8, 30, 120]) {
      const before = { ...rest(1e-4, 800), last: { inflow: flow(1e-3), time_s: 1000 - lasted_s / 2, lasted_s } };
      const held = run(7200, before, { parts, early: flow(-3e-4) });
      const found = inflowDuringRun(capability, held, rest(1e-4, 8300), true) ?? [];
      const more_m3 = found.reduce((sum, { flow_m3s }) => sum + ((flow_m3s - 1e-4) * 7200) / found.length, 0);
      // Falls to nothing in twice that time, of which a quarter had gone by when the run began.
      expect(more_m3).toBeCloseTo(9e-4 * 0.75 ** 2 * lasted_s, 12);
    }
  });

  it("is the least where water began to pour in just before a long run that shows a sound pump at its end", () => {
    const parts = [{ fall: flow(0), level_m: 0.2 }];
    const before = { ...rest(1e-4, 800), last: { inflow: flow(6e-4), time_s: 995, lasted_s: 10 } };
    const atFirst = { fall: flow(0), slows_m3s: 0 };
    const held = (atLast_m3s: number) =>
      run(1800, before, { parts, early: flow(0), atFirst, atLast: flow(atLast_m3s) });
    const isLeast = (ended: EndedRun) =>
      inflowDuringRun(capability, ended, rest(1e-4, 2900), true)?.every(({ unseenCourse }) => unseenCourse === "least");
    expect(isLeast(held(1e-3))).toBe(true);
    expect(isLeast(held(0))).toBe(false);
    expect(isLeast({ ...held(1e-3), before: rest(1e-4, 990) })).toBe(false);
  });

  it("takes one wrong level for no flood, where readings are far apart and the rests beside the run show none", () => {
    const parts = [{ fall: flow(0), level_m: 0.2 }];
    const found = inflowDuringRun(capability, run(150, rest(1e-4, 990), { parts }), rest(1e-4, 1160), false);
    for (const flow_m3s of flows(found) ?? [Number.NaN]) expect(flow_m3s).toBeCloseTo(1e-4, 12);
  });
});

describe("isImpaired", () => {
  it("is a run that begins with clearly less than three quarters of what the pump moves", () => {
    expect(isImpaired(capability, run(180, rest(1e-4, 990), { early: flow(3e-4) }), rest(1e-4, 1190), true)).toBe(true);
    expect(isImpaired(capability, run(180, rest(1e-4, 990), { early: flow(9e-4) }), rest(1e-4, 1190), true)).toBe(
      false,
    );
  });

  it("is one that begins so where half of the latest runs did, which leave open what the pump moves", () => {
    const halfBlocked = newCapability();
    for (let i = 0; i < 6; i++) learnRun(halfBlocked, flow(i < 3 ? pumpRate_m3s : 0.12 * pumpRate_m3s), Number.NaN);
    const ended = run(180, rest(1e-5, 990), { early: flow(0.11 * pumpRate_m3s) });
    expect(isImpaired(halfBlocked, ended, rest(1e-5, 1190), true)).toBe(true);
  });

  it("is no storm: water that rises against the pump, or still comes in fast after the run", () => {
    expect(isImpaired(capability, run(180, rest(1e-4, 990), { early: flow(-2e-4) }), rest(1e-4, 1190), true)).toBe(
      false,
    );
    expect(isImpaired(capability, run(180, rest(1e-4, 990), { early: flow(3e-4) }), rest(7e-4, 1190), true)).toBe(
      false,
    );
  });

  it("is one that begins slowly just after a flicker of its float, which may have gone on between the readings", () => {
    const flickered = (rest_s: number, early_m3s: number) => {
      const change = { early: flow(early_m3s), late: flow(0.9 * pumpRate_m3s) };
      const ended = run(145, { ...rest(1e-4, 990), inflow: null, first: null, last: null }, change);
      const after = rest(1e-4, 1200);
      return isImpaired(capability, { ...ended, cycle: { ...ended.cycle, rest_s } }, after, true);
    };
    expect(flickered(5, 0.3 * pumpRate_m3s)).toBe(true);
    expect(flickered(5, 0.9 * pumpRate_m3s)).toBe(false);
    expect(flickered(30, 0.3 * pumpRate_m3s)).toBe(false);
  });

  it("is no storm that breaks just before it, where the pump is sound at the end", () => {
    const calm = rest(1e-4, 800);
    const before = { ...rest(4e-4, 990), first: calm.first };
    const ended = run(1800, before, { early: flow(2e-4), late: flow(1e-3) });
    expect(isImpaired(capability, ended, rest(1e-4, 2900), true)).toBe(false);
    expect(isImpaired(capability, { ...ended, before: rest(1e-4, 990) }, rest(1e-4, 2900), true)).toBe(true);
    expect(isImpaired(capability, { ...ended, late: flow(5e-4) }, rest(1e-4, 2900), true)).toBe(true);
  });

  it("is one that begins so beside a tap, where a storm would have grown within its first minute", () => {
    const before = { ...rest(1e-4, 800), last: { inflow: flow(4e-4), time_s: 985, lasted_s: 30 } };
    const begins = (fall_m3s: number, slows_m3s: number) => {
      const atFirst = { fall: flow(fall_m3s), slows_m3s };
      const ended = run(1800, before, { early: flow(fall_m3s - slows_m3s / 2), late: flow(1e-3), atFirst });
      return isImpaired(capability, ended, rest(1e-4, 2900), true);
    };
    expect(begins(-1e-4, 0)).toBe(true);
    expect(begins(4e-4, 5e-4)).toBe(false);
    // The tap ran for some seconds more.
    expect(begins(-4e-4, -3e-4)).toBe(true);
  });

  it("is one that moves little from its first second to its last, after a bucket that brought as much as it should move", () => {
    const before = { ...rest(5e-5, 800), last: { inflow: flow(1.5e-3), time_s: 995, lasted_s: 5 } };
    const atFirst = { fall: flow(6e-5), slows_m3s: 0 };
    const ended = (atLast_m3s: number) =>
      run(330, before, { early: flow(6e-5), late: flow(6e-5), atFirst, atLast: flow(atLast_m3s) });
    expect(isImpaired(capability, ended(6e-5), rest(5e-5, 1400), true)).toBe(true);
    // Water that goes on pouring in ends before the run does.
    expect(isImpaired(capability, ended(1e-3), rest(5e-5, 1400), true)).toBe(false);
  });

  it("is one whose fall grows once a tap is turned off beside it, and yet is not what it was", () => {
    const before = { ...rest(1e-4, 800), last: { inflow: flow(5e-4), time_s: 990, lasted_s: 20 } };
    const ended = (slows_m3s: number) =>
      run(60, before, { early: flow(3.5e-4), atFirst: { fall: flow(1.5e-4), slows_m3s } });
    expect(isImpaired(capability, ended(-3e-4), rest(1e-4, 1190), true)).toBe(true);
    expect(isImpaired(capability, ended(0), rest(1e-4, 1190), true)).toBe(false);
  });

  it("is, by readings far apart, one that moves less at its beginning and its end, with little coming in beside it", () => {
    const slow = { early: flow(2e-4), late: flow(2e-4) };
    expect(isImpaired(capability, run(1200, rest(1e-4, 990), slow), rest(1e-4, 2300), false)).toBe(true);
    expect(
      isImpaired(capability, run(1200, rest(1e-4, 990), { ...slow, late: flow(9e-4) }), rest(1e-4, 2300), false),
    ).toBe(false);
    expect(isImpaired(capability, run(1200, rest(3e-4, 990), slow), rest(1e-4, 2300), false)).toBe(false);
    expect(isImpaired(capability, run(200, rest(1e-4, 990), slow), rest(1e-4, 1300), false)).toBe(true);
    expect(isImpaired(capability, run(110, rest(1e-4, 990), slow), rest(1e-4, 1210), false)).toBe(false);
  });

  it.each([true, false])(
    "is one whose runs leave more open than the rests beside it, readings close together: %s",
    (isClose) => {
      const lately = newCapability();
      for (let i = 0; i < 6; i++) learnRun(lately, flow(i < 3 ? pumpRate_m3s : 0.5 * pumpRate_m3s), Number.NaN);
      const half = { early: flow(0.45 * pumpRate_m3s), late: flow(0.45 * pumpRate_m3s) };
      const between = (run_s: number, beside_m3s: number) =>
        isImpaired(lately, run(run_s, rest(beside_m3s, 990), half), rest(beside_m3s, 1000 + run_s), isClose);
      expect([between(200, 3e-4), between(110, 3e-4), between(700, 3e-4), between(200, 6e-4)]).toEqual([
        true,
        true,
        false,
        false,
      ]);
    },
  );

  it("is no measure either that moves more than it did: less than nothing would have come in", () => {
    const falls = (share: number) => ({ early: flow(share * pumpRate_m3s), late: flow(share * pumpRate_m3s) });
    const during = (share: number) =>
      isImpaired(capability, run(180, rest(1e-4, 990), falls(share)), rest(1e-4, 1190), true);
    expect(during(1.3)).toBe(true);
    expect(during(1.05)).toBe(false);
  });

  it("is, however far apart the readings, one that moves nothing until it is freed", () => {
    const t = Float64Array.from({ length: 20 }, (_, i) => 10 * i);
    const held = t.map((t_s) => 0.03 + 1e-4 * Math.min(t_s, 180));
    const course = (y: Float64Array) => ({ t, y, n: new Float64Array(20).fill(1), count: 20 });
    for (const isClose of [true, false]) {
      const ended = (y: Float64Array) => run(200, rest(1e-4, 990), { course: course(y) });
      expect(isImpaired(capability, ended(held), rest(1e-4, 1210), isClose)).toBe(true);
      const falls = t.map((t_s) => 0.03 - 2e-4 * t_s);
      expect(isImpaired(capability, ended(falls), rest(1e-4, 1210), isClose)).toBe(false);
    }
  });

  it("is, by readings far apart, one that lets the water rise as at rest until it goes over the rim, and then comes free", () => {
    const t = Float64Array.from({ length: 60 }, (_, i) => 60 * i);
    const held = t.map((t_s) => 0.03 + 1e-4 * Math.min(t_s, 900) - 9e-4 * Math.max(0, t_s - 3400));
    const storm = t.map((t_s) => 0.03 - 9e-4 * Math.max(0, t_s - 3400));
    const ended = (y: Float64Array, inflow_m3s: number) =>
      run(3600, rest(inflow_m3s, 990), {
        course: { t, y, n: new Float64Array(60).fill(1), count: 60 },
        early: flow(-1e-4),
        late: flow(9e-4),
      });
    expect(isImpaired(capability, ended(held, 1e-4), rest(1e-4, 4610), false)).toBe(true);
    // what the pump moves comes in, and no less before it
    expect(isImpaired(capability, ended(storm, 1e-4), rest(1e-4, 4610), false)).toBe(false);
    expect(isImpaired(capability, ended(held, 3e-4), rest(1e-4, 4610), false)).toBe(false);
  });
});
