import { describe, expect, it } from "vitest";
import { noteUnwatched, noteWatched, takeForOwn, type UnwatchedRuns } from "../../../analysis/report/unwatched-runs.ts";

/** Runs of 20 L that went unwatched before the signal told of a start, and after it. */
function tallyOf(before: number, after: number) {
  const tally: { unwatched?: UnwatchedRuns; starts: number } = { starts: 10 };
  for (let i = 0; i < before; i++) noteUnwatched(tally, 0.02, 1e-4);
  noteWatched(tally);
  for (let i = 0; i < after; i++) noteUnwatched(tally, 0.02, 1e-4);
  return tally;
}

describe("takeForOwn", () => {
  it("counts as starts what went unwatched since the signal last told of one, and keeps what all of them moved", () => {
    const tally = tallyOf(2, 3);
    takeForOwn(tally);
    expect(tally).toMatchObject({ starts: 13, unwatched: { runs: 2 } });
    expect(tally.unwatched?.moved_m3).toBeCloseTo(0.1, 12);
    // Known to be dead once more, it has no others.
    takeForOwn(tally);
    expect(tally.starts).toBe(13);
  });

  it("takes none for the pump's own that it ran beside", () => {
    const tally = tallyOf(2, 0);
    takeForOwn(tally);
    expect(tally).toMatchObject({ starts: 10, unwatched: { runs: 2 } });
  });
});
