import { describe, expect, it } from "vitest";
import {
  type LongerRunsState,
  longerRuns,
  newLongerRuns,
  noteLonger,
  noteTogether,
} from "../../../analysis/pump-flow/longer-runs.ts";

const volume_m3 = 0.03;

/**
 * Runs of so many seconds, seen by readings `every_s` apart that fall anywhere in them: each is seen to last whole intervals,
 * and by chance, here a golden section, one more or less.
 */
function note(state: LongerRunsState, run_s: number, runs: number, every_s = 30, change = 1): void {
  for (let i = 0; i < runs; i += 1) {
    const readings = Math.floor(run_s / every_s + ((i * 0.618) % 1));
    noteLonger(state, volume_m3 * change, readings * every_s, every_s / 2);
  }
}

describe("longer runs", () => {
  it("are found within some dozen runs of twice the length, though readings half a minute apart time none", () => {
    const state = newLongerRuns();
    note(state, 20, 100);
    expect(longerRuns(state)).toBeNull();
    note(state, 40, 30);
    const found = longerRuns(state);
    // 30 L in 20 s, and in 40 s.
    expect((found?.before.flow_m3s ?? 0) / 1.5e-3).toBeCloseTo(1, 1);
    expect((found?.now.flow_m3s ?? 0) / 0.75e-3).toBeCloseTo(1, 1);
    expect(found?.runs).toBeLessThanOrEqual(31);
  });

  it("are none where the runs lift more, where they are a quarter longer, or before enough of them are known", () => {
    const more = newLongerRuns();
    note(more, 20, 100);
    note(more, 40, 200, 30, 2);
    expect(longerRuns(more)).toBeNull();
    const little = newLongerRuns();
    note(little, 20, 100);
    note(little, 25, 400);
    expect(longerRuns(little)).toBeNull();
    const early = newLongerRuns();
    note(early, 20, 10);
    note(early, 40, 100);
    expect(longerRuns(early)).toBeNull();
  });

  it("are none for one run of hours, and over once runs take as long as before", () => {
    const state = newLongerRuns();
    note(state, 20, 100);
    noteLonger(state, volume_m3, 36_000, 15);
    note(state, 20, 20);
    expect(longerRuns(state)).toBeNull();
    note(state, 40, 60);
    expect(longerRuns(state)).not.toBeNull();
    note(state, 20, 80);
    expect(longerRuns(state)).toBeNull();
  });

  it("say what the pump moves when they are found, and what it moves again when they are over", () => {
    const state = newLongerRuns();
    note(state, 20, 100);
    const changes: [number, number][] = [];
    for (let i = 0; i < 200; i += 1) {
      const readings = Math.floor((i < 80 ? 40 : 20) / 30 + ((i * 0.618) % 1));
      const moves = noteLonger(state, volume_m3, readings * 30, 15);
      if (moves !== null) changes.push([i, moves.now.flow_m3s]);
    }
    expect(changes.length).toBe(2);
    expect(changes[0]?.[0]).toBeLessThan(40);
    expect((changes[0]?.[1] ?? 0) / 0.75e-3).toBeCloseTo(1, 1);
    expect(changes[1]?.[0]).toBeGreaterThan(80);
    expect((changes[1]?.[1] ?? 0) / 1.5e-3).toBeCloseTo(1, 1);
  });

  it("are found and over as many cycles together tell it, by usual runs or by what was seen to be moved before", () => {
    const flow = (flow_m3s: number) => ({ flow_m3s, uFlow_m3s: 0.05 * flow_m3s, degreesOfFreedom: 20 });
    const told = (now_m3s: number) => ({ now: flow(now_m3s), volume_m3: 0.6, runs: 20 });
    const [usual, untaught] = [newLongerRuns(), newLongerRuns()];
    note(usual, 20, 100);
    for (const [state, before] of [
      [usual, null],
      [untaught, flow(1.5e-3)],
    ] as const) {
      noteTogether(state, before, told(0.75e-3));
      expect((longerRuns(state)?.before.flow_m3s ?? 0) / 1.5e-3).toBeCloseTo(1, 1);
      expect(longerRuns(state)?.now.flow_m3s).toBeCloseTo(0.75e-3);
      note(state, 40, 3);
      expect(longerRuns(state)).not.toBeNull();
      noteTogether(state, flow(0.75e-3), told(1.4e-3));
      expect(longerRuns(state)).toBeNull();
    }
    noteTogether(untaught, flow(1.5e-3), told(1.2e-3));
    expect(longerRuns(untaught)).toBeNull();
    const unknown = newLongerRuns();
    noteTogether(unknown, null, told(0.75e-3));
    expect(longerRuns(unknown)).toBeNull();
  });
});
