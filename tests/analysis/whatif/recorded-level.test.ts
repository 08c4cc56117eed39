import { describe, expect, it } from "vitest";
import { recordedAnchor } from "../../../analysis/whatif/recorded-level.ts";

const stop = { time_s: 0, level_m: 0.1, calls: false };
const start = { time_s: 300, level_m: 0.3, calls: true };
const turns = [stop, start, { time_s: 320, level_m: 0.1, calls: false }];
/** Twice as much in the last hundred seconds. */
const inflow = [
  { from_s: 0, to_s: 200, inflow_m3s: 1e-4, uInflow_m3s: 0 },
  { from_s: 200, to_s: 320, inflow_m3s: 2e-4, uInflow_m3s: 0 },
];

describe("recordedAnchor", () => {
  it("goes up through a rest as the water comes in", () => {
    expect(recordedAnchor(200, turns, inflow)?.level_m).toBeCloseTo(0.2, 12);
    expect(recordedAnchor(250, turns, inflow)).toMatchObject({ time_s: 250, calls: false });
  });

  it("goes down through a run evenly, with the float up", () => {
    const anchor = recordedAnchor(305, turns, inflow);
    expect(anchor).toMatchObject({ time_s: 305, calls: true });
    expect(anchor?.level_m).toBeCloseTo(0.25, 12);
  });

  it("keeps to the turn before in a long run, and after the last", () => {
    const long = [stop, start, { time_s: 900, level_m: 0.1, calls: false }];
    expect(recordedAnchor(600, long, inflow)).toBe(start);
    expect(recordedAnchor(500, turns, inflow)).toBe(turns[2]);
  });

  it("knows nothing before the first turn", () => {
    expect(recordedAnchor(-1, turns, inflow)).toBeNull();
  });
});
