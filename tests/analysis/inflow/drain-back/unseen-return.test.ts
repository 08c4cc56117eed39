import { describe, expect, it } from "vitest";
import {
  newUnseenReturn,
  noteUnseenReturn,
  unseenReturn_m3,
} from "../../../../analysis/inflow/drain-back/unseen-return.ts";
import { seededRandom } from "../../../../daemon/sources/simulated/random.ts";
import { analyse } from "../../analyse.ts";
import { reading, smallSite, startTime_s } from "../../small-basin.ts";

/** Bounds half a litre to eight apart, as a pump of 1.5 L/s leaves them that stops anywhere between readings 5 s apart. */
function bounds(back_m3: number, phase: number) {
  return { from_m3: back_m3 - 7.5e-3 * phase, to_m3: back_m3 + 7.5e-3 * (1 - phase) };
}

describe("unseenReturn_m3", () => {
  it("is what the bounds of many rests have in common", () => {
    const random = seededRandom(3);
    for (const back_m3 of [0, 1e-3, 5e-3]) {
      const state = newUnseenReturn();
      for (let i = 0; i < 40; i += 1) noteUnseenReturn(state, bounds(back_m3, random.uniform()));
      expect(Math.abs((unseenReturn_m3(state) ?? Number.NaN) - back_m3)).toBeLessThan(6e-4);
    }
  });

  it("is unknown after a rest or two, and where the pump always stops at the same moment between two readings", () => {
    const state = newUnseenReturn();
    noteUnseenReturn(state, bounds(5e-3, 0.01));
    noteUnseenReturn(state, bounds(5e-3, 0.99));
    expect(unseenReturn_m3(state)).toBeNull();
    const locked = newUnseenReturn();
    for (let i = 0; i < 40; i += 1) noteUnseenReturn(locked, bounds(0, 0.3));
    expect(unseenReturn_m3(locked)).toBeNull();
  });

  it("is not made less by one rest in twenty that a tap beside the run has falsified", () => {
    const random = seededRandom(5);
    const state = newUnseenReturn();
    let wrong = 0;
    for (let i = 0; i < 400; i += 1) {
      noteUnseenReturn(state, i % 20 === 10 ? bounds(-6e-3, 0.2) : bounds(1.5e-3, random.uniform()));
      if (i >= 40 && Math.abs((unseenReturn_m3(state) ?? 1.5e-3) - 1.5e-3) > 7e-4) wrong += 1;
    }
    // By what the latest alone have in common, in a third.
    expect(wrong / 360).toBeLessThan(0.05);
  });

  it("is not told by a single rest that narrows what all others have in common", () => {
    const state = newUnseenReturn();
    for (const phase of [0.1, 0.25, 0.2, 0.15, 0.7, 0.8, 0.75]) noteUnseenReturn(state, bounds(3e-4, phase));
    const of = { from_m3: 1.5e-3, to_m3: 9e-3 };
    noteUnseenReturn(state, of);
    // Nobody knows which of the bounds is wrong; two that say so are not.
    expect(unseenReturn_m3(state)).toBeNull();
    noteUnseenReturn(state, of);
    expect(unseenReturn_m3(state)).toBeGreaterThan(1.5e-3);
  });

  it("follows a valve that begins to leak", () => {
    const random = seededRandom(4);
    const state = newUnseenReturn();
    for (let i = 0; i < 40; i += 1) noteUnseenReturn(state, bounds(2e-4, random.uniform()));
    for (let i = 0; i < 30; i += 1) noteUnseenReturn(state, bounds(5e-3, random.uniform()));
    expect(unseenReturn_m3(state)).toBeGreaterThan(4e-3);
  });
});

/** The small basin read at these times: 40 s of pump, then so much is back at once, and the rest of the way fills by 1 mm/s. */
function readAt(times_s: readonly number[], back_m3: number) {
  const rest_s = 201.3 - 1e4 * back_m3;
  const readings = times_s.map((time_s) => {
    const phase_s = time_s % (rest_s + 40);
    const level_m =
      phase_s < rest_s ? 0.1 + 10 * back_m3 + 0.001 * phase_s : 0.3013 - (0.2013 / 40) * (phase_s - rest_s);
    return reading(startTime_s + time_s, { level_m, pumpOn: phase_s >= rest_s });
  });
  return analyse(smallSite, readings);
}

const readEach5s = (back_m3: number) =>
  readAt(
    Array.from({ length: 2400 }, (_, i) => 5 * i),
    back_m3,
  );

describe("water that is back before the next reading", () => {
  it("is told as the truth or not at all, found as a leak, and counted as pumped", () => {
    const { cycles, said, summary } = readEach5s(5e-3);
    const back = cycles.flatMap(({ drainBack_m3 }) => (drainBack_m3 === null ? [] : [drainBack_m3]));
    expect(back.length).toBeGreaterThan(20);
    for (const volume_m3 of back) expect(Math.abs(volume_m3 - 5e-3)).toBeLessThan(1e-3);
    expect(said.findings.map(({ finding }) => finding.kind)).toContain("check-valve-leak");
    // 20.1 L of fall and 4 L that came in meanwhile.
    expect((summary.totals.pumped_l ?? 0) / cycles.length / 24.1).toBeCloseTo(1, 1);
  });

  it("is none where none comes back", () => {
    const { cycles, said } = readEach5s(0);
    for (const { drainBack_m3 } of cycles) expect(drainBack_m3 ?? 0).toBeLessThan(7e-4);
    expect(said.findings).toEqual([]);
  });

  it("is none where none comes back and readings come now sooner, now later", () => {
    const random = seededRandom(6);
    let time_s = 0;
    const times_s = Array.from({ length: 4000 }, () => {
      time_s += 1.8 + 3.4 * random.uniform();
      return time_s;
    });
    const { cycles, said } = readAt(times_s, 0);
    for (const { drainBack_m3 } of cycles) expect(drainBack_m3 ?? 0).toBeLessThan(7e-4);
    expect(said.findings).toEqual([]);
  });

  it("is none where a machine drains into the basin while the pump runs and after, now and then", () => {
    let level_m = 0.1;
    let pumpOn = false;
    const readings = Array.from({ length: 20_000 }, (_, i) => {
      // 60 L/min for four minutes, every two hours; 3 L/min else.
      const inflow_ms = (i * 5) % 7200 < 240 ? 0.01 : 0.0005;
      for (let s = 0; s < 5; s += 1) {
        level_m += inflow_ms - (pumpOn ? 0.015 : 0);
        if (level_m >= 0.3) pumpOn = true;
        if (level_m <= 0.1) pumpOn = false;
      }
      return reading(startTime_s + 5 * i, { level_m, pumpOn });
    });
    const { cycles, said } = analyse(smallSite, readings);
    for (const { drainBack_m3 } of cycles) expect(drainBack_m3 ?? 0).toBeLessThan(2e-3);
    expect(said.findings.filter(({ finding }) => finding.kind === "check-valve-leak")).toEqual([]);
  });
});
