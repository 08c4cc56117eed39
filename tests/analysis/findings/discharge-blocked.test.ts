import { describe, expect, it } from "vitest";
import { dischargeBlocked } from "../../../analysis/findings/discharge-blocked.ts";
import type { Finding } from "../../../analysis/findings/finding.ts";
import type { View } from "../../../analysis/findings/rule.ts";
import type { SuddenChange } from "../../../analysis/pump-flow/pump-change.ts";
import { area_m2, pumpRate_m3s, startTime_s } from "../small-basin.ts";
import { cyclesLike, flow, openSince, viewOf } from "./view.ts";

const holds = (change: Partial<View>, open: Parameters<typeof dischargeBlocked.holds>[1] = null) =>
  dischargeBlocked.holds(viewOf(change), open);

function sudden(now: number, u = 0.01, spread = 0.02): SuddenChange {
  return { before: flow(1, u), now: flow(now, u), spread, longer: null };
}

/**
 * Half a minute into a run of a pump that has been moving 66 L/min, and by the level moves `share` of it now, over the
 * start level, where it began.
 */
function running(share: number, change: Partial<View> = {}): Partial<View> {
  return { pumpRunning: true, pumpStateFor_s: 30, level_m: 0.31, dischargeNow_m3s: share * 1.1e-3, ...change };
}

const long = { pumpStateFor_s: 180 };

describe("discharge-blocked", () => {
  it("is true while many runs that no reading times take far longer than they did, and over when they no longer do", () => {
    const longerRuns = { before: flow(1.5e-3), now: flow(0.8e-3), longer: null, runs: 20 };
    const seldom = { closelyRead: false, readEvery_s: 30, longerRuns };
    expect(holds(seldom)).toBe(true);
    const evidence = dischargeBlocked.evidence(viewOf(seldom));
    expect(evidence).toMatchObject({ seen_over_runs: 20, pump_rate_before_m3s: 1.5e-3, pump_rate_now_m3s: 0.8e-3 });
    expect(holds({ ...seldom, longerRuns: null }, { ...openSince(), evidence })).toBe(false);
  });

  it("is true when the last runs moved a quarter less than those before", () => {
    expect(holds({ suddenChange: sudden(0.76) })).toBe(false);
    expect(holds({ suddenChange: sudden(0.7) })).toBe(true);
  });

  it("is not told from rates too uncertain to differ", () => {
    expect(holds({ suddenChange: sudden(0.7, 0.1) })).toBe(false);
  });

  it("is not told where runs take no longer than they did: the rate was read wrongly", () => {
    // At three fifths of the flow a run takes two thirds longer; half of that must show.
    expect(holds({ suddenChange: { ...sudden(0.6), longer: 1.32 } })).toBe(false);
    expect(holds({ suddenChange: { ...sudden(0.6), longer: 1.34 } })).toBe(true);
  });

  it("is true in the middle of a run after little inflow that moves less than half of what is usual", () => {
    expect(holds(running(0))).toBe(true);
    expect(holds(running(0.09))).toBe(true);
    // What moves some water may be a storm that broke at the start, unless it goes on for three minutes.
    expect(holds(running(0.11))).toBe(false);
    expect(holds(running(0.49, long))).toBe(true);
    expect(holds(running(0.49, { pumpStateFor_s: 179 }))).toBe(false);
    expect(holds(running(0.51, long))).toBe(false);
  });

  it("does not take a storm, a start, a pump seen by the level alone or readings far apart for it", () => {
    expect(holds(running(0, { littleInflow: false }))).toBe(false);
    expect(holds(running(0, { pumpStateFor_s: 10 }))).toBe(false);
    expect(holds(running(0, { pumpStateFor_s: 400 }))).toBe(false);
    expect(holds(running(0, { pumpInferred: true }))).toBe(false);
    expect(holds(running(0, { closelyRead: false }))).toBe(false);
  });

  it("does not take water that rises faster than it came in before for it: that is more inflow", () => {
    expect(holds(running(-0.02))).toBe(true);
    expect(holds(running(-0.04))).toBe(false);
  });

  it("does not take a pump for it that has run out of water, down at its stop level", () => {
    expect(holds(running(0.2, { ...long, level_m: 0.119 }))).toBe(false);
    expect(holds(running(0.2, { ...long, level_m: 0.121 }))).toBe(true);
    expect(holds(running(0.2, { ...long, level_m: 0.119, stopLevel_m: null }))).toBe(true);
  });

  it("is told of a run that moves nothing at all once the water is past the level at which the float starts the pump", () => {
    expect(holds(running(0, { level_m: 0.304 }))).toBe(false);
    expect(holds(running(0, { level_m: 0.306 }))).toBe(true);
    expect(holds(running(0.11, { ...long, level_m: 0.28 }))).toBe(true);
    expect(holds(running(0, { level_m: 0.28, startTrip_m: null }))).toBe(true);
  });

  it("is not told of a signal that began under that level, of a storm that broke at the start, nor of a run that began well", () => {
    expect(holds(running(0.05, { startedLow: true }))).toBe(false);
    expect(holds(running(0.05, { roseBeforeStart: true }))).toBe(false);
    expect(holds(running(0.05, { bestInRun_m3s: 0.76 * 1.1e-3 }))).toBe(false);
    expect(holds(running(0.05, { bestInRun_m3s: 0.74 * 1.1e-3 }))).toBe(true);
  });

  it("is told of a third less by the last eight runs, where three of a few readings do not tell", () => {
    const third = { before: flow(1.1e-3), now: flow(0.7 * 1.1e-3), longer: 1.4, spread: 0.2 };
    const few = { fewReadingsInARun: true, suddenChange: third, lastingChange: null };
    expect(holds(few)).toBe(false);
    expect(holds({ ...few, lastingChange: third })).toBe(true);
    expect(holds({ suddenChange: null, lastingChange: third })).toBe(true);
    expect(holds({ ...few, lastingChange: { ...third, now: flow(0.8 * 1.1e-3) } })).toBe(false);
  });

  it("does not begin anew by many runs once one of the latest has come up again", () => {
    const third = sudden(2 / 3);
    const few = { fewReadingsInARun: true, lastingChange: third };
    expect(holds({ ...few, suddenChange: sudden(0.87) })).toBe(true);
    expect(holds({ ...few, suddenChange: sudden(0.89) })).toBe(false);
  });

  it("is not told of water that rose faster in the run than at rest, nor of water at the rim", () => {
    expect(holds(running(0.05, { soundRun: true }))).toBe(false);
    expect(holds(running(0.05, { overRim: true }))).toBe(false);
    expect(holds(running(0.05))).toBe(true);
  });

  it("is told, by readings far apart, of a run of a quarter of an hour, unless it drew the water below its stop level", () => {
    const longRun = (run_s: number, stopLevel_m: number) => ({
      recentCycles: cyclesLike({ run_s, stopLevel_m, pumpRate: flow(0.1 * 1.1e-3) }, 1),
      level_m: stopLevel_m,
      stopLevel_m: 0.1,
      pumpStateFor_s: 12,
      inflowAtRest_m3s: 1e-5,
      closelyRead: false,
    });
    expect(holds(longRun(900, 0.1))).toBe(true);
    expect(holds(longRun(899, 0.1))).toBe(false);
    // The sensor held its last reading all the while.
    expect(holds({ ...longRun(900, 0.1), levelIsOld: true })).toBe(false);
    expect(holds(longRun(900, 0.085))).toBe(false);
    // After a rest that shows nothing it may be the runs of a storm, whose rests all fall between readings.
    const afterNothing = longRun(900, 0.1).recentCycles.map((cycle) => ({ ...cycle, inflow: null }));
    expect(holds({ ...longRun(900, 0.1), recentCycles: afterNothing })).toBe(false);
    // Four times the time in which the basin is emptied is the shortest cycle; by half of it none can hide in a long run.
    const emptying_s = ((0.3 - 0.1) * area_m2) / pumpRate_m3s;
    expect(holds({ ...longRun(900, 0.1), readEvery_s: 1.99 * emptying_s })).toBe(true);
    expect(holds({ ...longRun(900, 0.1), readEvery_s: 2.01 * emptying_s })).toBe(false);
  });

  it("is told of one run that moved less than half, once the rest after it has shown no storm", () => {
    const ranWith = (share: number, change: Partial<View> = {}) => ({
      recentCycles: cyclesLike({ run_s: 50, pumpRate: flow(share * 1.1e-3) }, 1),
      pumpStateFor_s: 12,
      inflowAtRest_m3s: 1e-4,
      ...change,
    });
    expect(holds(ranWith(0.49))).toBe(true);
    expect(holds(ranWith(0.51))).toBe(false);
    expect(holds(ranWith(0.49, { inflowAtRest_m3s: null }))).toBe(true);
    expect(holds(ranWith(0.49, { inflowAtRest_m3s: 0.31 * 1.1e-3 }))).toBe(false);
    expect(holds(ranWith(0.49, { littleInflow: false }))).toBe(false);
    expect(holds(ranWith(0.49, { levelNoise_m: 0.021 }))).toBe(false);
    // 20 L are gone in 50 s or a little more, where the pump would have moved 55 L, or in 30 s, where 33 L.
    const gone = (run_s: number, readEvery_s: number) =>
      holds(
        ranWith(0.1, {
          recentCycles: cyclesLike({ run_s, pumpRate: flow(0.1 * 1.1e-3) }, 1),
          level_m: 0.1,
          readEvery_s,
        }),
      );
    expect(gone(50, 1)).toBe(true);
    expect(gone(30, 1)).toBe(false);
    expect(gone(30, 10)).toBe(true);
    // Those before it took 20 s, 18.2 s of it without the inflow; at two fifths of the flow it should take 45 s.
    const among = (run_s: number) => [...cyclesLike({ run_s, pumpRate: flow(0.4 * 1.1e-3) }, 1), ...cyclesLike({}, 5)];
    expect(holds(ranWith(0.4, { recentCycles: among(38) }))).toBe(true);
    expect(holds(ranWith(0.4, { recentCycles: among(37) }))).toBe(false);
    // By noise alone one of many that lie between two readings seems to last.
    expect(holds(ranWith(0.4, { recentCycles: among(38), readEvery_s: 18 }))).toBe(true);
    expect(holds(ranWith(0.4, { recentCycles: among(38), readEvery_s: 19 }))).toBe(false);
    expect(holds(ranWith(0.49, { levelProblem: "implausible" }))).toBe(false);
    expect(holds(ranWith(0.49, { level_m: null }))).toBe(false);
    expect(holds(ranWith(0.49, { roseBeforeStart: true }))).toBe(false);
    expect(holds(ranWith(0.49, { recentCycles: cyclesLike({ run_s: 50, pumpRate: flow(4e-4, 2e-4) }, 1) }))).toBe(
      false,
    );
    expect(holds(ranWith(0.3, { recentCycles: cyclesLike({ run_s: 7, pumpRate: flow(3e-4) }, 1) }))).toBe(false);
  });

  it("stays true while the same run goes on", () => {
    expect(holds(running(0, { pumpStateFor_s: 4000 }), openSince())).toBe(true);
  });

  it("is true of runs that wait for the pump to come up and take far longer, though it moves what it used to then", () => {
    const change = (longer: number) => {
      const rate = flow(1.1e-3);
      return viewOf({
        startsLate: true,
        closelyRead: true,
        suddenChange: { before: rate, now: rate, longer, spread: 0 },
      });
    };
    expect(dischargeBlocked.holds(change(1.5), null)).toBe(true);
    expect(dischargeBlocked.holds(change(1.4), null)).toBe(false);
    expect(dischargeBlocked.holds({ ...change(1.5), startsLate: false }, null)).toBe(false);
    expect(dischargeBlocked.evidence(change(1.5))).toMatchObject({ cause: "air-bound" });
  });

  it("stays open while runs begin with air and come up by themselves: it is one trouble, not one in each run", () => {
    const air = { ...openSince(startTime_s), evidence: { cause: "air-bound" } };
    const comesUp = running(2, { startsLate: true });
    expect(holds(comesUp, air)).toBe(true);
    expect(holds({ ...comesUp, startsLate: false }, air)).toBe(false);
    expect(holds(comesUp, { ...air, evidence: { cause: "blocked" } })).toBe(false);
  });

  it("stays open at rest and over a run that is not judged yet, and ends with a run that moves water", () => {
    const open = openSince(startTime_s);
    const blocked = cyclesLike({ startedAt_s: startTime_s + 500, pumpRate: flow(0.2e-3) }, 1);
    const freed = cyclesLike({ startedAt_s: startTime_s + 900, pumpRate: flow(1e-3) }, 1);
    const earlier = cyclesLike({ startedAt_s: startTime_s - 500 }, 1);
    expect(holds({ recentCycles: earlier }, open)).toBeNull();
    expect(holds({ recentCycles: [...blocked, ...earlier] }, open)).toBeNull();
    expect(holds({ recentCycles: [...freed, ...blocked, ...earlier] }, open)).toBe(false);
    const now = { recentCycles: earlier };
    expect(holds(running(1, { ...now, pumpStateFor_s: 10 }), open)).toBeNull();
    expect(holds(running(0.7, now), open)).toBeNull();
    expect(holds(running(0.8, now), open)).toBe(false);
  });

  it("is over at once when the rest after the run shows a storm instead, and says so", () => {
    // Two fifths of 66 L/min.
    const rest = { recentCycles: [], pumpStateFor_s: 12, inflowAtRest_m3s: 0.41 * 1.1e-3 };
    expect(holds(rest, openSince())).toBe(false);
    expect(holds({ ...rest, pumpStateFor_s: 11 }, openSince())).toBeNull();
    expect(holds({ ...rest, inflowAtRest_m3s: 0.39 * 1.1e-3 }, openSince())).toBeNull();
    expect(holds({ ...rest, suddenChange: sudden(0.6) }, openSince())).toBe(true);
    const told = dischargeBlocked.conclude?.(openSince(), viewOf(rest));
    expect(told).toMatchObject({ cause: "inflow", inflow_m3s: 0.41 * 1.1e-3 });
    expect(dischargeBlocked.message(viewOf(rest), told ?? {})).toContain("more had begun to come in");
  });

  it("stays open until the runs are within an eighth of what is usual", () => {
    expect(holds({ suddenChange: sudden(0.87) }, openSince())).toBe(true);
    expect(holds({ suddenChange: sudden(0.89) }, openSince())).toBeNull();
  });

  it("finds the cause, and another when the next runs show it", () => {
    const evidence = dischargeBlocked.evidence(viewOf(running(0.01)));
    expect(evidence).toMatchObject({ course: "sudden", cause: "blocked" });
    const worsen = (change: Partial<View>) => dischargeBlocked.worsen?.(evidence, viewOf(change));
    expect(worsen({ suddenChange: sudden(0.3) })).toBeNull();
    expect(worsen({ suddenChange: sudden(0.7) })).toMatchObject({ cause: "part-closed", pump_rate_now_m3s: 0.7 });
    expect(worsen(running(0.01, { temperature_c: -3 }))).toMatchObject({ cause: "frozen", temperature_c: -3 });
    expect(worsen({ startsLate: true })).toMatchObject({ cause: "air-bound" });
    const frozen = dischargeBlocked.evidence(viewOf(running(0.01, { temperature_c: -3 })));
    expect(dischargeBlocked.worsen?.(frozen, viewOf(running(0.01, { temperature_c: 4 })))).toBeNull();
  });

  it("says at its end whether warmth brought the pump back, or whether it came back by itself at once", () => {
    const finding = (cause: string): Finding => ({ ...openSince(startTime_s), evidence: { cause } });
    const after = cyclesLike({ startedAt_s: startTime_s - 30, stoppedAt_s: startTime_s + 60 }, 1);
    const conclude = (cause: string, change: Partial<View>) =>
      dischargeBlocked.conclude?.(finding(cause), viewOf({ recentCycles: after, ...change }));
    expect(conclude("frozen", { temperature_c: 5 })).toMatchObject({ came_back_with_warmth: true });
    expect(conclude("frozen", { temperature_c: -5 })).toMatchObject({ came_back_with_warmth: false });
    expect(conclude("blocked", {})).toMatchObject({ cause: "air-bound" });
    // In more than half an hour somebody may have come.
    expect(conclude("blocked", { time_s: startTime_s + 1801 })).toBeNull();
    expect(conclude("blocked", { recentCycles: [...after, ...after] })).toBeNull();
  });

  it("cannot be told without the pump's state, and does not begin at rest", () => {
    expect(holds({ pumpRunning: null })).toBeNull();
    expect(holds({})).toBe(false);
  });
});
