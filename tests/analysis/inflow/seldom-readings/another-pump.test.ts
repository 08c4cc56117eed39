import { describe, expect, it } from "vitest";
import { movesOtherwise } from "../../../../analysis/inflow/seldom-readings/another-pump.ts";
import { active_m3, basin, pump_m3s, stop_m3 } from "./basin-read-seldom.ts";

const floats = { stop_m3, active_m3 };
const follows = { atLeast: 0.7, ofLate: 0.7 };
const inflow_m3s = 6e-4;

function known(flow_m3s: number, share: number) {
  return { flow_m3s, uFlow_m3s: share * flow_m3s, degreesOfFreedom: Number.POSITIVE_INFINITY };
}

/** Half a minute apart, of a pump that moves so much. */
function read(moves_m3s: number, comesIn_m3s = inflow_m3s) {
  return basin(31, 25, () => comesIn_m3s, 0, moves_m3s);
}

describe("cycles of a pump that no longer is what it was", () => {
  it.each([0.45, 0.6, 0.7])("follow by one that moves %f of what it did, and tell how much comes in", (left) => {
    const found = movesOtherwise(read(left * pump_m3s), floats, known(pump_m3s, 0.03), null, follows);
    expect((found?.pump.flow_m3s ?? 0) / (left * pump_m3s)).toBeCloseTo(1, 1.3);
    const flows = found?.flow_m3s ?? [];
    expect(flows.reduce((sum, flow) => sum + flow, 0) / flows.length / inflow_m3s).toBeCloseTo(1, 1.3);
  });

  it.each([
    ["what it did", 1],
    ["a tenth less", 0.9],
    ["twice as much, which rest and run in each other's place would look like", 2],
  ])("tell of no other where it moves %s", (_, times) => {
    expect(movesOtherwise(read(times * pump_m3s), floats, known(pump_m3s, 0.03), null, follows)).toBeNull();
  });

  it("follow by what it used to move once the pipe is free again", () => {
    const [blocked, used] = [known(0.5 * pump_m3s, 0.03), known(pump_m3s, 0.05)];
    const found = movesOtherwise(read(pump_m3s), floats, blocked, used, follows);
    expect((found?.pump.flow_m3s ?? 0) / pump_m3s).toBeCloseTo(1, 1.3);
    expect(movesOtherwise(read(pump_m3s), floats, blocked, null, follows)).toBeNull();
  });

  it.each([
    ["hardly any", 0.1],
    ["nearly all", 0.97],
  ])("tell of no other where %s of what it moves comes in", (_, share) => {
    const readings = read(0.5 * pump_m3s, share * 0.5 * pump_m3s);
    expect(movesOtherwise(readings, floats, known(pump_m3s, 0.03), null, follows)).toBeNull();
  });

  it("tell nothing by a handful of readings", () => {
    expect(movesOtherwise(read(0.5 * pump_m3s).slice(0, 8), floats, known(pump_m3s, 0.03), null, follows)).toBeNull();
  });
});
