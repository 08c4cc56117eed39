import { describe, expect, it } from "vitest";
import type { Cycle } from "../../../analysis/cycles/cycle.ts";
import { mergeCycles, renewCycles, rowsInView } from "../../../dashboard/views/cycle-rows.ts";

const cycle = (startedAt_s: number, drainBack_m3: number | null = null): Cycle => ({
  startedAt_s,
  stoppedAt_s: startedAt_s + 20,
  run_s: 20,
  rest_s: null,
  startLevel_m: null,
  stopLevel_m: null,
  inflow: null,
  pumpRate: null,
  drainBack_m3,
});

describe("rows of the table of cycles", () => {
  it("keeps only those near the view in the page", () => {
    // Rows of 44 px, 10 in view, the 100th on top, 8 spare on each side.
    expect(rowsInView({ scrollTop: 4400, viewport: 440, rowHeight: 44, count: 3126 })).toEqual({ from: 92, to: 118 });
  });

  it("stays within the table at its ends", () => {
    expect(rowsInView({ scrollTop: 0, viewport: 440, rowHeight: 44, count: 5 })).toEqual({ from: 0, to: 5 });
    expect(rowsInView({ scrollTop: 9999, viewport: 440, rowHeight: 44, count: 20 })).toEqual({ from: 20, to: 20 });
    expect(rowsInView({ scrollTop: 0, viewport: 440, rowHeight: 44, count: 0 })).toEqual({ from: 0, to: 0 });
  });

  it("puts what arrives in its place, newest first", () => {
    const merged = mergeCycles([cycle(300), cycle(100)], [cycle(200), cycle(400)]);
    expect(merged.map(({ startedAt_s }) => startedAt_s)).toEqual([400, 300, 200, 100]);
  });

  it("takes the later word on a cycle that is told twice", () => {
    expect(mergeCycles([cycle(100)], [cycle(100, 3e-4)])).toEqual([cycle(100, 3e-4)]);
  });
});

describe("cycles that are asked for again", () => {
  const startsOf = (cycles: readonly Cycle[]) => cycles.map(({ startedAt_s }) => startedAt_s);

  it("keep the older ones that join on, and drop what the answer no longer has", () => {
    const renewed = renewCycles(
      [cycle(300), cycle(250), cycle(200), cycle(100)],
      [cycle(400), cycle(300), cycle(200)],
      3,
    );
    expect(startsOf(renewed.cycles)).toEqual([400, 300, 200, 100]);
    expect(renewed.reach).toBe("as before");
  });

  it("leave no hole where more were missed than the answer holds", () => {
    const renewed = renewCycles([cycle(200), cycle(100)], [cycle(500), cycle(400)], 2);
    expect(startsOf(renewed.cycles)).toEqual([500, 400]);
    expect(renewed.reach).toBe("newest");
  });

  it("are the whole record where the answer is not full", () => {
    const renewed = renewCycles([cycle(200), cycle(100)], [cycle(700)], 2);
    expect(startsOf(renewed.cycles)).toEqual([700]);
    expect(renewed.reach).toBe("whole");
  });
});
