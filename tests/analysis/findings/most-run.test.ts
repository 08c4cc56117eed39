import { describe, expect, it } from "vitest";
import { newMostRun, noteMostRun } from "../../../analysis/findings/most-run.ts";

/** A pump that runs `run_s` of every `cycle_s`, read every `readEvery_s` for an hour; the last share told. */
function heard(run_s: number, cycle_s: number, readEvery_s: number) {
  const state = newMostRun();
  let ran_s = 0;
  let starts = 0;
  let before = false;
  let least: number | null = null;
  for (let t = 0; t <= 3600; t += readEvery_s) {
    if (before) ran_s += readEvery_s;
    const on = t % cycle_s < run_s;
    if (on && !before) starts += 1;
    before = on;
    least = noteMostRun(state, t, ran_s, starts, readEvery_s) ?? least;
  }
  return { state, least };
}

describe("noteMostRun", () => {
  it("knows the share that a pump has run in ten minutes, between what chance may add and take away", () => {
    const { state, least } = heard(20, 40, 1);
    // 15 runs in ten minutes, each known to 1 s / √6: 1.6 s in all, three of which are 0.8 %.
    expect(least).toBeGreaterThan(0.5 - 0.03);
    expect(least).toBeLessThan(0.5);
    expect(state.most).toBeGreaterThan(0.5);
    expect(state.most).toBeLessThan(0.5 + 0.07);
  });

  it("knows less of it where readings are far apart", () => {
    const { state, least } = heard(30, 60, 10);
    expect(least).toBeLessThan(0.46);
    expect(state.most).toBeGreaterThan(0.54);
  });

  it("knows a pump that runs on and on", () => {
    expect(heard(3600, 3600, 5).least).toBeGreaterThan(0.98);
  });

  it("tells nothing before ten minutes, nor without a signal", () => {
    const state = newMostRun();
    expect(noteMostRun(state, 0, 0, 0, 1)).toBeNull();
    expect(noteMostRun(state, 300, 300, 1, 1)).toBeNull();
    expect(noteMostRun(state, 700, 700, 1, 1)).not.toBeNull();
    expect(noteMostRun(state, 800, null, 1, 1)).toBeNull();
    expect(state.time_s).toEqual([]);
  });
});
