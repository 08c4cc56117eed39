import { describe, expect, it } from "vitest";
import {
  noteReckoned,
  reckonedStarts,
  startsOfStretch,
} from "../../../../analysis/inflow/seldom-readings/reckoned-starts.ts";

const flow = (flow_m3s: number, uFlow_m3s = 0) => ({ flow_m3s, uFlow_m3s, degreesOfFreedom: Number.POSITIVE_INFINITY });
const active_m3 = 0.03;
const pump = flow(2e-3);
const minutes = (count: number) => new Array(count).fill(60);

/** Over an hour of readings a minute apart. */
function hourOf(inflow_m3s: number, u_m3s = 0, moves = pump) {
  return startsOfStretch(0, new Array(60).fill(inflow_m3s), minutes(60), flow(inflow_m3s, u_m3s), moves, active_m3);
}

describe("starts by the inflow", () => {
  it("are one for each rest and run: V / q + V / (p - q), and the pump's way up to speed", () => {
    // 30 L at 30 L/min fill in 60 s and empty at 90 L/min more than that in 20 s: 45 an hour, less for under a second each.
    const { starts } = hourOf(0.5e-3);
    expect(starts).toBeLessThan(45);
    expect(starts).toBeGreaterThan(44);
  });

  it("are most where half of what the pump moves comes in: a quarter of its flow over the volume (common practice)", () => {
    expect(hourOf(1e-3).starts).toBeGreaterThan(hourOf(0.9e-3).starts);
    expect(hourOf(1e-3).starts).toBeGreaterThan(hourOf(1.1e-3).starts);
    expect(hourOf(1e-3).starts / ((3600 * pump.flow_m3s) / (4 * active_m3))).toBeCloseTo(1, 1);
  });

  it("are none where nothing comes in, or more than the pump moves", () => {
    expect(hourOf(0).starts).toBe(0);
    expect(hourOf(2.1e-3).starts).toBe(0);
  });

  it("are as uncertain as the inflow makes them: 2 % of little inflow is 2 % of the starts, the volume's own beside", () => {
    const sure = hourOf(1e-5);
    const unsure = hourOf(1e-5, 2e-7);
    const byInflow = Math.sqrt(unsure.uStarts ** 2 - sure.uStarts ** 2);
    expect(byInflow / unsure.starts).toBeCloseTo(0.02, 3);
  });

  it("are as uncertain as the pump makes them: (q / p)² of its own over the volume", () => {
    const vague = hourOf(1e-3, 0, flow(2e-3, 1e-4));
    const byPump = Math.sqrt(vague.uStarts ** 2 - hourOf(1e-3).uStarts ** 2);
    expect(byPump).toBeCloseTo((0.25 * 1e-4 * 3600) / active_m3, 6);
  });
});

describe("starts in an hour", () => {
  const half = startsOfStretch(1800, new Array(30).fill(5e-4), minutes(30), flow(5e-4), pump, active_m3);

  it("are those by the inflow, and those that were seen where it was not followed", () => {
    const seen = [100, 700, 2000, 3700];
    expect(reckonedStarts([half], seen, 3600)?.starts).toBeCloseTo(half.starts + 2, 9);
  });

  it("count a stretch by the part of it that lies in the hour", () => {
    expect(reckonedStarts([half], [], 1800 + 900 + 3600)?.starts).toBeCloseTo(half.starts / 2, 9);
    expect(reckonedStarts([half], [], 7200)).toBeNull();
    expect(reckonedStarts([], [100], 3600)).toBeNull();
  });

  it("are sure of two standard uncertainties less, and of one start less by where the hour begins and ends", () => {
    const known = reckonedStarts([half], [], 3600);
    expect(known?.atLeast).toBeCloseTo(half.starts - 2 * Math.hypot(half.uStarts, Math.sqrt(1 / 6)), 9);
  });

  it("forget what no later hour asks for", () => {
    const later = { ...half, from_s: 5400, to_s: 7200 };
    expect(noteReckoned([half], later)).toEqual([half, later].slice(1));
    expect(noteReckoned([half], { ...half, from_s: 3600, to_s: 5400 })).toHaveLength(2);
  });
});
