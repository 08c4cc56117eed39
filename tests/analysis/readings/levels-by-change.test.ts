import { describe, expect, it } from "vitest";
import { levelProblem } from "../../../analysis/readings/level-problem.ts";
import { screenLevel } from "../../../analysis/readings/level-screen.ts";
import { newLevelScreen } from "../../../analysis/readings/level-screen-state.ts";
import { noteLevelsWritten, provenStill_s } from "../../../analysis/readings/levels-by-change.ts";
import type { Reading } from "../../../analysis/readings/reading.ts";
import { seededRandom } from "../../../daemon/sources/simulated/random.ts";
import { analyse } from "../analyse.ts";
import { courseAt, reading, smallSite, startTime_s } from "../small-basin.ts";

/** Levels of a basin that fills and empties, asked for each 5 s, in steps of `step_m` about the true one. */
function asked(step_m: number, noise_m: number, count = 4000): number[] {
  const random = seededRandom(7);
  return Array.from({ length: count }, (_, i) => {
    const true_m = 0.1 + 0.2 * ((i % 200) / 200) + random.normal(noise_m);
    return Math.round(true_m / step_m) * step_m;
  });
}

/** Written down only where they differ from the one written before by `least_m` or more. */
function changesOf(levels_m: readonly number[], least_m: number): number[] {
  let written_m = Number.NaN;
  return levels_m.filter((level_m) => {
    if (Math.abs(level_m - written_m) < least_m - 1e-9) return false;
    written_m = level_m;
    return true;
  });
}

type Screen = Parameters<typeof provenStill_s>[0];

/** Each 20 s, but each fifth 100 s after the one before. */
function changedAt_s(i: number): number {
  return 20 * i + 80 * Math.floor(i / 5);
}

const changing = { interval_s: 20, long_s: 100 };

function note(screen: Screen, levels_m: readonly number[]): void {
  const times_s = levels_m.map((_, i) => changedAt_s(i));
  noteLevelsWritten(screen, times_s, levels_m, 0, levels_m.length);
}

function isTold(levels_m: readonly number[], byTheClock = false): boolean {
  const screen = { ...changing };
  note(screen, levels_m);
  return provenStill_s(screen, byTheClock) > 0;
}

describe("levels that are written down once they have changed", () => {
  it("are told by steps as small as there are, none of them said twice", () => {
    expect(isTold(changesOf(asked(0.005, 0.0005), 0.005))).toBe(true);
    // A finer sensor whose logger waits for a change of 5 mm.
    expect(isTold(changesOf(asked(0.0001, 0.0005), 0.005))).toBe(true);
  });

  it("are not seen in those that are written down each time, coarse, fine or noisy, nor in rows by the clock", () => {
    for (const [step_m, noise_m] of [
      [0.005, 0],
      [0.005, 0.002],
      [0.001, 0.001],
      [0.0001, 0.001],
      [0.0001, 0.003],
    ] as const)
      expect(isTold(asked(step_m, noise_m))).toBe(false);
    expect(isTold(changesOf(asked(0.005, 0.0005), 0.005), true)).toBe(false);
  });

  it("are no more where a sensor begins to be written down each time, and not where a run has left it silent", () => {
    const changes = changesOf(asked(0.005, 0.0005), 0.005);
    expect(isTold([...changes, ...asked(0.005, 0, 400)])).toBe(false);
    const screen: Screen = { ...changing, ranBetween: true };
    note(screen, changes);
    expect(provenStill_s(screen, false)).toBe(0);
  });

  it("are told of a steady rise, too, whose steps come as evenly as by a clock, but sooner in a run", () => {
    const even = { interval_s: 30, long_s: 30 };
    const isToldAt = (each_s: (i: number) => number) => {
      const screen: Screen = { ...even };
      const levels_m = changesOf(asked(0.005, 0.0005), 0.005);
      let at_s = 0;
      noteLevelsWritten(
        screen,
        levels_m.map((_, i) => (at_s += each_s(i))),
        levels_m,
        0,
        levels_m.length,
      );
      return provenStill_s(screen, false) > 0;
    };
    expect(isToldAt((i) => (i % 40 < 5 ? 5 : 30))).toBe(true);
    expect(isToldAt(() => 30)).toBe(false);
  });

  it("stay told through a storm, in which they come as by the clock", () => {
    const changes = changesOf(asked(0.005, 0.0005), 0.005);
    const screen = { ...changing };
    note(screen, changes);
    provenStill_s(screen, false);
    const quick = Array.from({ length: 200 }, (_, i) => 0.1 + 0.02 * (i % 10));
    note(screen, quick);
    expect(provenStill_s(screen, true)).toBeGreaterThan(0);
  });
});

describe("a sensor whose levels come by change", () => {
  it("drops out once it has said nothing for a day, and not before", () => {
    const state = newLevelScreen();
    const changes = changesOf(asked(0.005, 0.0005), 0.005);
    changes.forEach((level_m, i) => {
      screenLevel(state, { lowest_m: -0.1, highest_m: 1 }, changedAt_s(i), level_m);
    });
    note(state, changes);
    provenStill_s(state, false);
    const last_s = changedAt_s(changes.length - 1);
    expect(levelProblem(state, last_s + 23 * 3600)).toBeNull();
    expect(levelProblem(state, last_s + 25 * 3600)).toBe("dropping-out");
  });
});

const hour_s = 3600;
const run_s = 20;

/** Rests of three hours, and of a minute in a storm; steps of 5 mm, asked for each 5 s and written down on change. */
function recording(hours: number, storm: { from_s: number; to_s: number }, silentFrom_s = hours * hour_s): Reading[] {
  const random = seededRandom(11);
  const rows: Reading[] = [];
  let written_m = Number.NaN;
  let running: boolean | null = null;
  for (let from_s = 0, at_s = 0; from_s < hours * hour_s; ) {
    const rest_s = from_s >= storm.from_s && from_s < storm.to_s ? 60 : 3 * hour_s;
    const level = (phase_s: number) =>
      phase_s < rest_s ? 0.1 + (0.2 * phase_s) / rest_s : 0.3 - (0.2 * (phase_s - rest_s)) / run_s;
    for (; at_s < from_s + rest_s + run_s; at_s += 5) {
      const level_m = Math.round((level(at_s - from_s) + random.normal(0.001)) / 0.005) * 0.005;
      const pumpOn = at_s - from_s >= rest_s;
      const changed = !(Math.abs(level_m - written_m) < 1e-9) && at_s < silentFrom_s;
      const switched = pumpOn !== running;
      if (changed) written_m = level_m;
      running = pumpOn;
      if (changed || switched)
        rows.push(reading(startTime_s + at_s, { ...(changed && { level_m }), ...(switched && { pumpOn }) }));
    }
    from_s += rest_s + run_s;
  }
  return rows;
}

describe("a recording of changes alone", () => {
  it("has no gaps in its calm hours after a storm, and no faulty sensor", () => {
    const storm = { from_s: 3 * hour_s, to_s: 5 * hour_s };
    const { summary } = analyse(smallSite, recording(26, storm));
    expect(summary.span.gaps).toEqual([]);
    expect(summary.findings.filter(({ kind }) => kind === "sensor-fault")).toEqual([]);
    const { mean_lpm } = summary.inflow;
    // 20 L in each rest of a minute and of three hours, and as fast in the runs.
    const brought_l = (2 * hour_s * 20) / 60 + (24 * hour_s * 20) / (3 * hour_s);
    expect(Math.abs((mean_lpm ?? 0) / (brought_l / (26 * 60)) - 1)).toBeLessThan(0.03);
  });

  it("says that the sensor drops out once the pump has run and no level has come", () => {
    const { findings } = analyse(smallSite, recording(6, { from_s: 3 * hour_s, to_s: 6 * hour_s }, 5 * hour_s)).summary;
    expect(findings.map(({ kind }) => kind)).toContain("sensor-fault");
  });
});

describe("a recording of changes whose first rest rises as by the clock", () => {
  it("has its first run, too, though the level tells of it at first and the contact later", () => {
    const [rises_s, falls_s] = [3000, 23];
    const random = seededRandom(5);
    let [written_m, running]: [number, boolean | null] = [Number.NaN, null];
    const rows: Reading[] = [];
    for (let at_s = 0; at_s < 4 * (rises_s + falls_s) + 600; at_s += 5) {
      const phase_s = at_s % (rises_s + falls_s);
      const pumpOn = phase_s >= rises_s;
      const true_m = pumpOn ? 0.3 - (0.2 * (phase_s - rises_s)) / falls_s : 0.1 + (0.2 * phase_s) / rises_s;
      const level_m = Math.round((true_m + random.normal(1e-4)) / 1e-3) * 1e-3;
      const changed = !(Math.abs(level_m - written_m) < 1e-9);
      const switched = pumpOn !== running;
      if (changed || switched)
        rows.push(reading(startTime_s + at_s, { ...(changed && { level_m }), ...(switched && { pumpOn }) }));
      if (changed) written_m = level_m;
      running = pumpOn;
    }
    const starts_s = analyse(smallSite, rows).cycles.map(({ startedAt_s }) => startedAt_s - startTime_s);
    expect(starts_s).toHaveLength(4);
    expect(Math.abs((starts_s[0] ?? 0) - rises_s)).toBeLessThan(10);
  });
});

describe("a recording of changes with a heartbeat", () => {
  const storm = { from_s: 3 * hour_s, to_s: 5 * hour_s };
  const heartbeat_s = 600;

  const runsBefore = (rows: readonly Reading[], i: number) =>
    rows.slice(0, i).findLast(({ pumpOn }) => pumpOn !== null)?.pumpOn === true;

  /** Everything is also written each ten minutes. */
  function withHeartbeat(rows: readonly Reading[]): Reading[] {
    const beaten: Reading[] = [];
    let [level_m, pumpOn, due_s] = [0.1, false, startTime_s + heartbeat_s];
    for (const row of rows) {
      for (; due_s < row.time_s; due_s += heartbeat_s) beaten.push(reading(due_s, { level_m, pumpOn }));
      beaten.push(row);
      level_m = row.level_m ?? level_m;
      pumpOn = row.pumpOn ?? pumpOn;
    }
    return beaten;
  }

  it("has no gaps either, every run, and what came in", () => {
    const rows = withHeartbeat(recording(26, storm));
    const { summary } = analyse(smallSite, rows);
    expect(summary.span.gaps).toEqual([]);
    expect(summary.span.rows).toBe(rows.length);
    expect(summary.findings.filter(({ kind }) => kind === "sensor-fault")).toEqual([]);
    expect(summary.totals.starts).toBe(rows.filter((row, i) => row.pumpOn === true && !runsBefore(rows, i)).length);
    const brought_l = (2 * hour_s * 20) / 60 + (24 * hour_s * 20) / (3 * hour_s);
    expect(Math.abs((summary.inflow.mean_lpm ?? 0) / (brought_l / (26 * 60)) - 1)).toBeLessThan(0.02);
  });

  it("has a gap where three beats are missing", () => {
    const [from_s, to_s] = [startTime_s + 10 * hour_s, startTime_s + 11 * hour_s];
    const rows = withHeartbeat(recording(26, storm)).filter(({ time_s }) => time_s < from_s || time_s > to_s);
    const { gaps } = analyse(smallSite, rows).summary.span;
    expect(gaps).toHaveLength(1);
    expect(Date.parse(gaps[0]?.from ?? "") / 1000).toBeGreaterThan(from_s - heartbeat_s);
  });
});

describe("a contact written down when it changes, beside a level each ten minutes", () => {
  it("has each run as long as it was, what the pump moves and what came in, though no level falls into a run", () => {
    const [rises_s, falls_s, every_s] = [1811, 23, 600];
    const random = seededRandom(4);
    const rows: Reading[] = [];
    let running: boolean | null = null;
    for (let at_s = 0; at_s < 60 * (rises_s + falls_s); at_s += 1) {
      const phase_s = at_s % (rises_s + falls_s);
      const pumpOn = phase_s >= rises_s;
      const true_m = pumpOn ? 0.3 - (0.2 * (phase_s - rises_s)) / falls_s : 0.1 + (0.2 * phase_s) / rises_s;
      const levelDue = at_s % every_s === 0;
      if (levelDue || pumpOn !== running)
        rows.push(reading(startTime_s + at_s, { level_m: levelDue ? true_m + random.normal(1e-3) : null, pumpOn }));
      running = pumpOn;
    }
    const { cycles, summary } = analyse(smallSite, rows);
    expect(cycles.length).toBeGreaterThan(57);
    for (const { run_s: lasted_s } of cycles.slice(2)) expect(lasted_s).toBe(falls_s);
    const moved_m3s = 0.02 / falls_s + 0.02 / rises_s;
    const rates = cycles.slice(2, -1).map(({ pumpRate }) => (pumpRate?.flow_m3s ?? Number.NaN) / moved_m3s);
    // Half a second of each run is taken for the pump's coming up, which this one does at once.
    expect(Math.min(...rates)).toBeGreaterThan(0.95);
    expect(Math.max(...rates)).toBeLessThan(1.1);
    expect((summary.inflow.mean_lpm ?? 0) / (20 / (rises_s / 60))).toBeCloseTo(1, 2);
  });

  it("has a gap where all of it is silent for hours, and its sensor no fault", () => {
    const [hours, from_s, to_s] = [60, 40 * hour_s, 46 * hour_s];
    const rows: Reading[] = [];
    let running: boolean | null = null;
    for (let at_s = 0; at_s < hours * hour_s; at_s += 5) {
      const { level_m, pumpOn } = courseAt(at_s);
      const levelDue = at_s % 600 === 0;
      const switched = pumpOn !== running;
      running = pumpOn;
      if ((levelDue || switched) && !(at_s > from_s && at_s < to_s))
        rows.push(reading(startTime_s + at_s, { level_m: levelDue ? level_m : null, pumpOn }));
    }
    const { span, findings } = analyse(smallSite, rows).summary;
    expect(span.gaps).toHaveLength(1);
    expect(findings.map(({ kind }) => kind)).not.toContain("sensor-fault");
  });
});

describe("what was read and not written down", () => {
  it("gives the figures of the same basin read by the clock, in steps too coarse to show it otherwise", () => {
    const rows = recording(26, { from_s: 3 * hour_s, to_s: 5 * hour_s });
    let [next, level_m, pumpOn] = [0, 0.1, false];
    const byTheClock: Reading[] = [];
    for (let at_s = 0; at_s < 26 * hour_s; at_s += 5) {
      for (; (rows[next]?.time_s ?? Number.POSITIVE_INFINITY) <= startTime_s + at_s; next += 1) {
        level_m = rows[next]?.level_m ?? level_m;
        pumpOn = rows[next]?.pumpOn ?? pumpOn;
      }
      byTheClock.push(reading(startTime_s + at_s, { level_m, pumpOn }));
    }
    const [changes, clock] = [analyse(smallSite, rows), analyse(smallSite, byTheClock)];
    expect(changes.cycles).toHaveLength(clock.cycles.length);
    const mean = ({ summary }: typeof clock) => summary.inflow.mean_lpm ?? 0;
    expect(Math.abs(mean(changes) / mean(clock) - 1)).toBeLessThan(0.005);
    const pumped = ({ summary }: typeof clock) => summary.totals.pumped_l ?? 0;
    expect(Math.abs(pumped(changes) / pumped(clock) - 1)).toBeLessThan(0.03);
  });
});
