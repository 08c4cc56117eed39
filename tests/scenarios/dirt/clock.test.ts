// Dirt of rows and clocks: rows twice, out of order or missing, a wall clock that is set, and daylight saving.

import { describe, expect, it } from "vitest";
import { seededRandom } from "../../../daemon/sources/simulated/random.ts";
import { hour_s, type Played, play, startTime_s } from "./dirty-basin.ts";
import { expectSound, judged, kinds } from "./judge-dirt.ts";
import { lines, onTheWall, readBack, utc } from "./recorded.ts";

const quiet = play({ hours: 10, sample_s: 2 });

/** The same basin at another time. */
function movedBy(played: Played, by_s: number): Played {
  return {
    ...played,
    readings: played.readings.map((reading) => ({ ...reading, time_s: reading.time_s + by_s })),
    runs: played.runs.map((run) => ({ startedAt_s: run.startedAt_s + by_s, stoppedAt_s: run.stoppedAt_s + by_s })),
  };
}

describe("rows that are doubled and shuffled", () => {
  it("give what the rows in order give, to the last digit, and are counted", async () => {
    const random = seededRandom(21);
    const inOrder = lines(quiet.readings, utc);
    const late = inOrder
      .flatMap((row, i) => (random.uniform() < 0.05 ? [[i, row] as const, [i, row] as const] : [[i, row] as const]))
      .map(([i, row]) => [i + (random.uniform() < 0.1 ? 40 * random.uniform() : 0), row] as const)
      .sort(([a], [b]) => a - b)
      .map(([, row]) => row);
    const clean = await readBack(inOrder);
    const dirty = await readBack(late);
    expect(dirty.readings).toEqual(clean.readings);
    expect(dirty.result.doubles).toBe(late.length - inOrder.length);
    expect(dirty.result.outOfOrder).toBeGreaterThan(500);
    expectSound(judged(dirty.readings, quiet), quiet, 0.005);
  });
});

describe("hours that are missing", () => {
  it("are a gap: nothing is made up for them, and nothing on either side is lost", async () => {
    const hole = (time_s: number) => time_s > startTime_s + 4 * hour_s && time_s < startTime_s + 7 * hour_s;
    const { readings } = await readBack(lines(quiet.readings, (time_s) => (hole(time_s) ? null : utc(time_s))));
    const seen = {
      ...quiet,
      runs: quiet.runs.filter(({ startedAt_s, stoppedAt_s }) => !hole(startedAt_s) && !hole(stoppedAt_s)),
    };
    const found = judged(readings, seen);
    expect(found.gaps).toBe(1);
    expect(kinds(found)).toEqual([]);
    expectSound(found, seen, 0.005);
    const after = found.cycles.find(({ startedAt_s }) => startedAt_s > startTime_s + 7 * hour_s);
    expect(after?.rest_s).toBeNull();
  });
});

describe("a wall clock", () => {
  const setAt_s = startTime_s + 4.02 * hour_s;
  const set = (by_s: number) => (time_s: number) => utc(time_s + (time_s > setAt_s ? by_s : 0));

  it("set back by an hour makes no cycle and loses none: the rows go on in their own order, and it is said", async () => {
    const { readings, result } = await readBack(lines(quiet.readings, set(-hour_s)));
    expect(result.clockSteps).toHaveLength(1);
    expect(Math.abs((result.clockSteps[0]?.added_s ?? 0) - hour_s)).toBeLessThanOrEqual(2);
    const found = judged(readings, quiet);
    expect(found.starts).toBe(quiet.runs.length);
    expect(kinds(found)).toEqual([]);
    expectSound(found, quiet, 0.005);
  });

  it("set forward by an hour is a gap: the rest that it falls in is lost, no cycle is", async () => {
    const { readings } = await readBack(lines(quiet.readings, set(hour_s)));
    const later = { ...quiet, runs: quiet.runs.map((run) => (run.startedAt_s > setAt_s ? shifted(run, hour_s) : run)) };
    const found = judged(readings, later);
    expect(found.gaps).toBe(1);
    expect(kinds(found)).toEqual([]);
    expectSound(found, later, 0.005);
  });

  it.each([4, -4])("set by %d s by its time server disturbs one rest at most", async (by_s) => {
    const { readings } = await readBack(lines(quiet.readings, set(by_s)));
    const found = judged(readings, quiet, 10);
    expect(found.starts).toBe(quiet.runs.length);
    expect(kinds(found)).toEqual([]);
    expectSound(found, quiet, 0.005, 0.05);
  });

  function shifted(run: Played["runs"][number], by_s: number) {
    return { startedAt_s: run.startedAt_s + by_s, stoppedAt_s: run.stoppedAt_s + by_s };
  }
});

describe("daylight saving, in stamps without an offset", () => {
  const timezone = "America/Toronto";

  it.each([
    ["begins", "2026-03-08T07:00:00Z"],
    ["ends", "2026-11-01T06:00:00Z"],
  ])("changes nothing when it %s", async (_, change) => {
    const change_s = Date.parse(change) / 1000;
    const night = movedBy(quiet, change_s - 5 * hour_s - startTime_s);
    const rows = lines(night.readings, (time_s) => onTheWall(time_s, timezone));
    const { readings, result } = await readBack(rows, { timezone });
    expect(result.problems).toEqual([]);
    expect(readings.map(({ time_s }) => time_s)).toEqual(night.readings.map(({ time_s }) => time_s));
    const found = judged(readings, night);
    expect(kinds(found)).toEqual([]);
    expect(found.gaps).toBe(0);
    expectSound(found, night, 0.005);
  });
});
