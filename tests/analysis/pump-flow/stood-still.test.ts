import { describe, expect, it } from "vitest";
import { roseAsAtRest, stoodStill } from "../../../analysis/pump-flow/stood-still.ts";

const inflow_m3s = 1e-4;
const usual_m3s = 1e-3;

/** @param moves what the pump moves less what a storm brings, from one reading to the next */
function judge(every_s: number, moves_m3s: readonly number[]): boolean {
  const count = moves_m3s.length + 1;
  const t = Float64Array.from({ length: count }, (_, i) => every_s * i);
  const y = new Float64Array(count).fill(0.03);
  moves_m3s.forEach((flow_m3s, i) => {
    y[i + 1] = (y[i] as number) + (inflow_m3s - flow_m3s) * every_s;
  });
  return stoodStill({ t, y, n: new Float64Array(count).fill(1), count }, every_s * count, inflow_m3s, usual_m3s);
}

const times = (count: number, flow_m3s: number) => new Array<number>(count).fill(flow_m3s);

describe("stoodStill", () => {
  it("is a pump that moves nothing, and what it usually does once it is freed", () => {
    expect(judge(10, [...times(14, 0), 9e-4, 9e-4, 9e-4])).toBe(true);
    expect(judge(60, [...times(12, 0), 1.1e-3])).toBe(true);
    expect(judge(10, times(14, 0))).toBe(true);
  });

  it("is none that moves some", () => {
    expect(judge(10, [...times(40, 3e-4), 1e-3, 1e-3])).toBe(false);
    expect(judge(10, times(40, 1e-3))).toBe(false);
  });

  it("is no storm, which comes and goes more slowly", () => {
    expect(judge(10, [1e-3, 8e-4, 5e-4, 2e-4, ...times(20, 0), 1e-3, 1e-3])).toBe(false);
    expect(judge(10, [...times(20, 0), ...Array.from({ length: 20 }, (_, i) => 5e-5 * i)])).toBe(false);
    expect(judge(10, [...times(20, -5e-4), 1e-3, 1e-3])).toBe(false);
    expect(judge(1, times(200, -0.5e-4))).toBe(false);
  });

  it("is not known of a standstill as short as its edges", () => {
    expect(judge(10, [0, 0, ...times(10, 1e-3)])).toBe(false);
  });
});

describe("roseAsAtRest", () => {
  const risen = (minutes: number, flow_m3s: (t_s: number) => number) => {
    const count = minutes + 1;
    const t = Float64Array.from({ length: count }, (_, i) => 60 * i);
    const y = new Float64Array(count).fill(0.03);
    for (let i = 1; i < count; i += 1) y[i] = (y[i - 1] as number) + 60 * flow_m3s(60 * i);
    return roseAsAtRest({ t, y, n: new Float64Array(count).fill(1), count }, inflow_m3s, 1e-4);
  };

  it("is water that goes on as before the run for ten minutes, whatever comes after", () => {
    expect(risen(10, () => inflow_m3s)).toBe(true);
    // over the rim after a quarter of an hour, freed after half an hour
    expect(risen(40, (t_s) => (t_s <= 900 ? inflow_m3s : t_s <= 1800 ? 0 : -1e-3))).toBe(true);
  });

  it("is not known of fewer minutes, or of a rise within the sensor's noise", () => {
    expect(risen(8, () => inflow_m3s)).toBe(false);
    expect(risen(10, () => 0.5e-6)).toBe(false);
  });

  it("is no storm that the pump just holds, nor one that passes it", () => {
    expect(risen(10, () => 0)).toBe(false);
    expect(risen(10, () => 2 * inflow_m3s)).toBe(false);
  });

  it("is no storm that overtakes the pump once that has lowered the water", () => {
    expect(risen(10, (t_s) => (t_s <= 240 ? -4 * inflow_m3s : (26 / 6) * inflow_m3s))).toBe(false);
  });
});
