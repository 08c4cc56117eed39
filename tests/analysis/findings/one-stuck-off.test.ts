import { describe, expect, it } from "vitest";
import type { Cycle } from "../../../analysis/cycles/cycle.ts";
import { floatStuckOff } from "../../../analysis/findings/float-stuck-off.ts";
import { oneStuckOff } from "../../../analysis/findings/one-stuck-off.ts";
import { newTwoPumps } from "../../../analysis/findings/two-pumps.ts";
import { smallSite, startTime_s } from "../small-basin.ts";
import { cyclesLike, openSince, quietCycle, viewOf } from "./view.ts";

const pump = { curve: null, maxStartsPerHour: null, minRun_s: null };
/** The first starts at 0.3 m, the second at 0.4 m. */
const site = { ...smallSite, pump, pumps: [pump, { ...pump, startLevel_m: 0.4 }] as const };
const running = (set: 0 | 1 | 2 | 3) => ({ ...newTwoPumps(), set });
const runs = (pump1_s: number, startLevel_m: number, count: number) =>
  cyclesLike({ startLevel_m, pumps: { pump1_s, pump2_s: 20, both_s: 0, rateOf: 2 } }, count);

const holds = (change: Parameters<typeof viewOf>[0]) => oneStuckOff.holds(viewOf({ site, ...change }), null);

describe("one of two pumps that does not start", () => {
  it("is the first, after three runs of the second alone that began 20 mm over the first's start", () => {
    expect(holds({ pumps: running(0), recentCycles: runs(0, 0.4, 2) })).toBe(false);
    expect(holds({ pumps: running(0), recentCycles: runs(0, 0.4, 3) })).toBe(true);
    expect(holds({ pumps: running(0), recentCycles: runs(0, 0.319, 3) })).toBe(false);
    expect(holds({ pumps: running(0), recentCycles: [...runs(9, 0.4, 1), ...runs(0, 0.4, 2)] })).toBe(false);
  });

  it("is the second, when the water is 20 mm over its start and the first runs alone", () => {
    expect(holds({ pumps: running(1), pumpRunning: true, level_m: 0.419 })).toBe(false);
    expect(holds({ pumps: running(1), pumpRunning: true, level_m: 0.421 })).toBe(true);
    expect(holds({ pumps: running(3), pumpRunning: true, level_m: 0.5 })).toBe(false);
  });

  it("is the one on duty from the first, while neither runs with the water between the two starts", () => {
    const named = (level_m: number, change: Parameters<typeof viewOf>[0] = {}) =>
      oneStuckOff.evidence(viewOf({ site, pumps: running(0), level_m, ...change })).pump;
    expect(named(0.314)).toBe(null);
    expect(named(0.316)).toBe(1);
    expect(named(0.419)).toBe(1);
    expect(named(0.421)).toBe(null);
    const both = (level_m: number) => floatStuckOff.holds(viewOf({ site, pumps: running(0), level_m }), null);
    expect([both(0.419), both(0.421)]).toEqual([false, true]);
    // A sensor that reads 30 mm too high reads the upper float as much higher, too.
    const high = { recentCycles: cyclesLike({ startLevel_m: 0.33 }) };
    expect([named(0.344, high), named(0.346, high), named(0.449, high)]).toEqual([null, 1, 1]);
  });

  it("is the one whose turn it is; where nobody knows, and where one level calls both, the pumps are told together", () => {
    const turns = (startedAt_s: [number | null, number | null]) =>
      viewOf({ site, pumps: { ...running(0), takeTurns: true, startedAt_s }, level_m: 0.35 });
    const told = (view: ReturnType<typeof viewOf>) => [
      oneStuckOff.evidence(view).pump,
      floatStuckOff.holds(view, null),
    ];
    expect(told(turns([startTime_s - 20, startTime_s - 90]))).toEqual([2, false]);
    expect(told(turns([startTime_s - 90, startTime_s - 20]))).toEqual([1, false]);
    expect(told(turns([startTime_s - 90, null]))).toEqual([null, true]);
    const close = { ...site, pumps: [pump, { ...pump, startLevel_m: 0.33 }] as const };
    expect(told(viewOf({ site: close, pumps: running(0), level_m: 0.35 }))).toEqual([null, true]);
  });

  it("is not told without a supply, nor where there is one pump", () => {
    expect(holds({ pumps: running(0), mainsOn: false, recentCycles: runs(0, 0.4, 3) })).toBe(false);
    expect(holds({ recentCycles: runs(0, 0.4, 3) })).toBe(false);
  });

  it("is one of two that take turns, when by turns the other starts at either float, and never this one", () => {
    const byTurns = (pump1_s: number, pump2_s: number) =>
      [0.4, 0.3, 0.398, 0.302].map((startLevel_m) => ({
        ...quietCycle,
        ...{ startLevel_m, pumps: { pump1_s, pump2_s, both_s: 0, rateOf: null } },
      }));
    const told = (recentCycles: Cycle[], set: 0 | 1 | 2 | 3 = 0) =>
      oneStuckOff.evidence(viewOf({ site, pumps: running(set), recentCycles })).pump;
    expect(told(byTurns(0, 20))).toBe(1);
    expect(told(byTurns(20, 0))).toBe(2);
    expect(told(byTurns(20, 0), 2)).toBe(null);
    // One of four has been its own, one start alone was high, all were, or all but for a float that hung by the way.
    expect(told([...byTurns(20, 0).slice(0, 3), ...byTurns(0, 20).slice(3)])).toBe(null);
    expect(told(byTurns(20, 0).map((cycle, i) => ({ ...cycle, startLevel_m: i === 0 ? 0.4 : 0.3 })))).toBe(null);
    expect(told(byTurns(20, 0).map((cycle) => ({ ...cycle, startLevel_m: 0.4 })))).toBe(null);
    expect(told(byTurns(20, 0).map((cycle, i) => ({ ...cycle, startLevel_m: i % 2 ? 0.3 : 0.37 })))).toBe(null);
  });

  it("is none whose starts were seen so late that the water rose from the lower float nearly to the upper meanwhile", () => {
    // Filled in 40 s and read each 10 s: the reading that shows a start at 0.3 m stands up to 67 mm over it.
    const late = [0.385, 0.301, 0.39, 0.316].map((startLevel_m) => ({
      ...quietCycle,
      ...{ startLevel_m, rest_s: 40, pumps: { pump1_s: 20, pump2_s: 0, both_s: 0, rateOf: null } },
    }));
    const told = (recentCycles: Cycle[], readEvery_s: number) =>
      holds({ pumps: running(0), recentCycles, readEvery_s });
    expect([told(late, 1), told(late, 10)]).toEqual([true, false]);
    const second = late.map((cycle) => ({
      ...cycle,
      startLevel_m: 0.36,
      pumps: { ...cycle.pumps, pump1_s: 0, pump2_s: 20 },
    }));
    expect([told(second, 1), told(second, 10)]).toEqual([true, false]);
  });

  it("stays told though the water is down, until the pump has started since", () => {
    const open = (pump: 1 | 2) => ({ ...openSince(), evidence: { pump } });
    const started = (first_s: number | null, second_s: number | null, set: 0 | 1 | 2 | 3 = 0) =>
      viewOf({ site, pumps: { ...running(set), startedAt_s: [first_s, second_s] } });
    expect(oneStuckOff.holds(started(startTime_s - 1, null), open(1))).toBe(true);
    expect(oneStuckOff.holds(started(startTime_s + 1, null, 1), open(1))).toBe(false);
    expect(oneStuckOff.holds(started(startTime_s + 1, startTime_s - 1), open(2))).toBe(true);
    expect(oneStuckOff.holds(started(null, startTime_s + 1, 3), open(2))).toBe(false);
    // Back from a gap it runs, and nobody saw it start.
    expect(oneStuckOff.holds(started(startTime_s - 1, null, 1), open(1))).toBe(false);
    expect(oneStuckOff.holds(started(null, startTime_s - 1, 2), open(2))).toBe(false);
    // It has tripped again, and the water is up.
    const tripped = { ...started(null, startTime_s + 1, 1), level_m: 0.41 };
    expect(oneStuckOff.holds(tripped, open(2))).toBe(true);
  });

  it("names it", () => {
    const view = viewOf({ site, pumps: running(0), recentCycles: runs(0, 0.4, 3) });
    const evidence = oneStuckOff.evidence(view);
    expect(evidence).toMatchObject({ pump: 1, start_level_m: 0.3 });
    expect(oneStuckOff.message(view, evidence)).toContain("Pump 1 does not start");
  });
});
