import { describe, expect, it } from "vitest";
import { betweenSeenRuns, type SeenRun } from "../../../../analysis/inflow/seldom-readings/seen-runs.ts";
import { seededRandom } from "../../../../daemon/sources/simulated/random.ts";

const active_m3 = 0.03;

/** When readings by the clock see so many runs, of cycles that scatter by 1 %. */
function seen(count: number, interval_s: number, run_s: number, rest_s: number, seed = 5) {
  const random = seededRandom(seed);
  const runs: SeenRun[] = [];
  let stopped_s = 7;
  while (runs.length < count) {
    const start_s = stopped_s + rest_s * (1 + random.normal(0.01));
    const read_s = Math.ceil(start_s / interval_s) * interval_s;
    stopped_s = start_s + run_s;
    const readings = Math.ceil((stopped_s - read_s) / interval_s);
    if (readings > 0) runs.push({ at_s: read_s + ((readings - 1) / 2) * interval_s, readings });
  }
  return runs;
}

function mean({ flow_m3s, u_m3s }: ReturnType<typeof betweenSeenRuns>, runs: readonly SeenRun[]) {
  const at = (i: number) => runs.at(i)?.at_s ?? Number.NaN;
  const over = (flows: readonly number[]) =>
    flows.reduce((sum, flow, i) => sum + flow * (at(i + 1) - at(i)), 0) / (at(-1) - at(0));
  return { flow_m3s: over(flow_m3s), u_m3s: over(u_m3s) };
}

describe("betweenSeenRuns", () => {
  it.each([
    ["hardly a third of runs, 17 s each half an hour, by readings each minute", 60, 17, 1783],
    ["two thirds of runs, 10 s each ten minutes, by readings each 15 s", 15, 10, 590],
    ["all of them, where runs last longer than the time between readings", 10, 12, 300],
  ])("tells the inflow from %s", (_, interval_s, run_s, rest_s) => {
    const runs = seen(16, interval_s, run_s, rest_s);
    const found = mean(betweenSeenRuns(runs, interval_s, active_m3, null), runs);
    const true_m3s = active_m3 / rest_s;
    expect(Math.abs(found.flow_m3s - true_m3s)).toBeLessThan(2 * found.u_m3s);
    expect(Math.abs(found.flow_m3s / true_m3s - 1)).toBeLessThan(0.1);
  });

  it("takes cycles that keep step with the readings, each of which is seen, for no quicker ones of which few are", () => {
    const runs = Array.from({ length: 16 }, (_, i) => ({ at_s: 600 * i, readings: 1 }));
    const usual = { length_s: 15, uLog: 0.2 };
    const found = mean(betweenSeenRuns(runs, 60, active_m3, usual), runs);
    expect(Math.abs(found.flow_m3s / (active_m3 / 585) - 1)).toBeLessThan(0.2);
  });

  it("takes runs that nearly fill an interval, each seen by one reading, for none that last for hours", () => {
    for (const seed of [1, 2, 3, 4]) {
      const runs = seen(17, 60, 55, 12_000, seed);
      const { flow_m3s } = betweenSeenRuns(runs, 60, active_m3, null);
      expect(Math.max(...flow_m3s) / (active_m3 / 12_000)).toBeLessThan(2);
    }
  });

  it("takes no household, whose taps bring a few runs soon after each other now and then, for brief runs that mostly go unseen", () => {
    const [interval_s, run_s] = [20, 15];
    const usual = { length_s: run_s, uLog: 0.25 };
    const errors = [1, 2, 3, 4, 5, 6, 7, 8].map((seed) => {
      const random = seededRandom(seed);
      const runs: SeenRun[] = [];
      const cycleOf: number[] = [];
      let stopped_s = 7;
      for (let cycle = 0; runs.length < 17; cycle += 1) {
        const tapped = cycle % 8 === 2 || cycle % 8 === 3;
        const start_s = stopped_s + (tapped ? 700 : 2300) * (1 + random.normal(0.05));
        const read_s = Math.ceil(start_s / interval_s) * interval_s;
        stopped_s = start_s + run_s;
        if (read_s < stopped_s) cycleOf[runs.push({ at_s: read_s, readings: 1 }) - 1] = cycle;
      }
      const cycles = (cycleOf.at(-1) ?? 0) - (cycleOf[0] ?? 0);
      const length_s = (runs.at(-1)?.at_s ?? 0) - (runs[0]?.at_s ?? 0);
      const true_m3s = (cycles * active_m3) / (length_s - cycles * run_s);
      const found = mean(betweenSeenRuns(runs, interval_s, active_m3, usual), runs);
      const error_m3s = Math.abs(found.flow_m3s - true_m3s);
      expect(error_m3s).toBeLessThan(2 * found.u_m3s);
      return error_m3s / true_m3s;
    });
    expect(errors.filter((error) => error < 0.25).length).toBeGreaterThanOrEqual(6);
  });

  it("is less sure where little is known of how long runs last, and it then learns that", () => {
    const runs = seen(16, 60, 17, 583);
    const vague = betweenSeenRuns(runs, 60, active_m3, null);
    const known = betweenSeenRuns(runs, 60, active_m3, { length_s: 17, uLog: 0.05 });
    expect(known.uBriefest_s).toBeLessThan(vague.uBriefest_s);
    expect(Math.abs(vague.briefest_s - 17)).toBeLessThan(2.5 * vague.uBriefest_s);
  });

  it("keeps to what is known of the length of a run, whatever that is", () => {
    for (const length_s of [17, 24, 30]) {
      const { briefest_s } = betweenSeenRuns(seen(16, 60, length_s, 1400), 60, active_m3, { length_s, uLog: 0.02 });
      expect(Math.abs(briefest_s / length_s - 1)).toBeLessThan(0.05);
    }
  });
});
