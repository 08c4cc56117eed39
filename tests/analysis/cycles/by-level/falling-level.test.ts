import { describe, expect, it } from "vitest";
import {
  beginFall,
  beginsAt_s,
  type FallingLevel,
  newFallingLevel,
  noteWithin,
  type Point,
  pumpedPace,
  stopsAt_s,
  wasReadWithin,
} from "../../../../analysis/cycles/by-level/falling-level.ts";
import { letWait, nothingWaits } from "../../../../analysis/cycles/waiting-samples.ts";

/** Rises by 0.1 mm/s for 2000 s and is pumped down again in `run_s`; the first run begins at 2000 s. */
function levelAt_m(t: number, run_s: number): number {
  const phase_s = t % (2000 + run_s);
  return phase_s < 2000 ? 0.1 + 0.0001 * phase_s : 0.3 - (0.2 / run_s) * (phase_s - 2000);
}

/** What is said of each of so many runs, by readings `every_s` apart. */
function dated(every_s: number, run_s: number, runs = 60) {
  const fall = newFallingLevel();
  return Array.from({ length: runs }, (_, i) => {
    const start_s = 2000 + i * (2000 + run_s);
    return { ...date(fall, every_s, start_s, run_s), start_s };
  });
}

function date(fall: FallingLevel, every_s: number, start_s: number, run_s: number) {
  const at = (time_s: number): Point => ({ time_s, level_m: levelAt_m(time_s, run_s) });
  const first = Math.ceil(start_s / every_s);
  const down = Math.ceil((start_s + run_s) / every_s);
  beginFall(fall, at((first - 1) * every_s), at(first * every_s));
  const startedAt_s = beginsAt_s(fall, at((first - 1) * every_s), at(first * every_s), 0.2);
  const waiting = nothingWaits();
  for (let i = first; i < down; i += 1) letWait(waiting, i * every_s, levelAt_m(i * every_s, run_s), Number.NaN);
  noteWithin(fall, waiting, down - first);
  return { startedAt_s, stoppedAt_s: stopsAt_s(fall, startedAt_s, at(down * every_s), (down + 1) * every_s, true) };
}

describe("the edges of a run between readings far apart", () => {
  it("lie where the fall meets the rises, to a tenth of a second, once two readings within runs have shown its pace", () => {
    for (const { startedAt_s, stoppedAt_s, start_s } of dated(10, 33).slice(10)) {
      expect(Math.abs(startedAt_s - start_s)).toBeLessThan(0.1);
      expect(Math.abs(stoppedAt_s - start_s - 33)).toBeLessThan(0.1);
    }
  });

  it("tell about what the pump moves, while readings are close enough together for that", () => {
    const learned = (every_s: number) => {
      const fall = newFallingLevel();
      for (let i = 0; i < 60; i += 1) date(fall, every_s, 2000 + i * 2033, 33);
      return pumpedPace(fall, every_s);
    };
    // 0.2 m in 33 s, and 0.1 mm/s that comes in.
    const { pace_ms, uPace_ms } = learned(10) ?? { pace_ms: Number.NaN, uPace_ms: Number.NaN };
    expect(pace_ms).toBeCloseTo(0.2 / 33 + 0.0001, 5);
    expect(uPace_ms / pace_ms).toBeLessThan(0.06);
    expect(learned(150)).toBeNull();
    expect(pumpedPace(newFallingLevel(), 10)).toBeNull();
  });

  it("are learned no worse by a run whose readings are alike, or the later one higher, by a coarse step or by noise", () => {
    for (const later_m of [0.2, 0.21]) {
      const fall = newFallingLevel();
      for (let i = 0; i < 10; i += 1) date(fall, 10, 2000 + i * 2033, 33);
      const { took_s } = fall;
      beginFall(fall, { time_s: 22_330, level_m: 0.3 }, { time_s: 22_340, level_m: 0.2 });
      const waiting = nothingWaits();
      letWait(waiting, 22_340, 0.2, Number.NaN);
      letWait(waiting, 22_350, later_m, Number.NaN);
      noteWithin(fall, waiting, 2);
      stopsAt_s(fall, 22_331, { time_s: 22_360, level_m: 0.1 }, 22_370, true);
      expect(fall.runs).toBe(10); // the first came after no known rest
      expect(Math.abs(fall.took_s / took_s - 1)).toBeLessThan(0.05);
    }
  });

  it("stand as far apart as runs take, where at most one reading lies within any: by how many of them do", () => {
    for (const [every_s, run_s] of [
      [30, 17],
      [60, 32],
    ] as const) {
      const latest = dated(every_s, run_s, 200).slice(50);
      const mean_s = latest.reduce((sum, { startedAt_s, stoppedAt_s }) => sum + stoppedAt_s - startedAt_s, 0) / 150;
      // Of 50 runs n·p ± √(n·p·(1 − p)) show a reading: an eighth of what is learned from them.
      expect(Math.abs(mean_s / run_s - 1)).toBeLessThan(1 / 8);
      for (const { startedAt_s, start_s } of latest) expect(Math.abs(startedAt_s - start_s)).toBeLessThan(every_s / 2);
    }
  });

  it("stand in the middle of what readings leave open before four runs have taught anything", () => {
    expect(dated(30, 17, 1)[0]).toEqual({ startedAt_s: 1995, stoppedAt_s: 2025, start_s: 2000 });
  });

  it("have a reading between them only where one lies clearly below the first and above the last", () => {
    // read every 30 s, of runs of 17 s those that hold a reading
    const fall = newFallingLevel();
    const found = Array.from({ length: 60 }, (_, i) => {
      const start_s = 2000 + i * 2017;
      date(fall, 30, start_s, 17);
      const down_s = Math.ceil(start_s / 30) * 30 - start_s;
      return { said: wasReadWithin(fall), clearly: down_s > 2 && down_s < 15, not: down_s >= 17 };
    }).slice(1);
    expect(found.filter(({ clearly }) => clearly).length).toBeGreaterThan(20);
    for (const { said, clearly, not } of found) {
      if (clearly) expect(said).toBe(true);
      if (not) expect(said).toBe(false);
    }
    expect(wasReadWithin(newFallingLevel())).toBe(false);
  });
});
