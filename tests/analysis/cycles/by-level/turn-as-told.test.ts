import { describe, expect, it } from "vitest";
import { feedLevel, settleLevelRuns } from "../../../../analysis/cycles/by-level/level-runs.ts";
import { newLevelRuns } from "../../../../analysis/cycles/by-level/level-runs-state.ts";
import { between_s, type Said, turnAsTold } from "../../../../analysis/cycles/by-level/turn-as-told.ts";
import { letWait, nothingWaits } from "../../../../analysis/cycles/waiting-samples.ts";
import { seededRandom } from "../../../../daemon/sources/simulated/random.ts";
import { courseAt, cycle_s, rest_s } from "../../small-basin.ts";
import { hear } from "../heard.ts";

/** Levels wait that were read every 5 s from 100 s on. */
function waitingFrom100() {
  const waiting = nothingWaits();
  for (let i = 0; i < 10; i += 1) letWait(waiting, 100 + 5 * i, 0.3, 0.3);
  return waiting;
}

describe("turnAsTold", () => {
  const told: Said[] = [
    { time_s: 40, on: true },
    { time_s: 70, on: false },
    { time_s: 120, on: true },
  ];
  const seen = (at_s: number, unsure_s: number) => ({ at_s, unsure_s, latest_s: 95 });

  it("gives the two readings between which they changed, where noise may have moved the turn from there", () => {
    expect(turnAsTold(told, true, waitingFrom100(), seen(132, 8))).toEqual({ after_s: 115, by_s: 120, before: 4 });
    expect(turnAsTold(told, true, waitingFrom100(), seen(118, 0))).toEqual({ after_s: 115, by_s: 120, before: 4 });
  });

  it("leaves a turn to the level that lies further off than noise and an interval", () => {
    expect(turnAsTold(told, true, waitingFrom100(), seen(134, 8))).toBeNull();
  });

  it("leaves to the level what they said before the levels that wait, or have not said", () => {
    expect(turnAsTold(told, false, waitingFrom100(), seen(102, 1000))).toBeNull();
    expect(turnAsTold([], true, waitingFrom100(), seen(118, 8))).toBeNull();
    expect(turnAsTold(undefined, true, waitingFrom100(), seen(118, 8))).toBeNull();
  });

  it("has the level say when between the two", () => {
    const turn = { after_s: 115, by_s: 120, before: 4 };
    expect([110, 117, 130, Number.NaN].map((at_s) => between_s(turn, at_s))).toEqual([115, 117, 120, 117.5]);
  });
});

describe("a float beside a noisy level", () => {
  const slower = 3;
  const interval_s = 5;
  const cycles = 30;
  const noise_m = 0.004;

  /** Runs read off the level with what the float said by then. */
  function runs(floatOn: ((into_s: number) => boolean) | null) {
    const random = seededRandom(4);
    const state = newLevelRuns();
    const heard = hear();
    const told: Said[] = [];
    for (let t = 0; t <= slower * cycles * cycle_s + 100; t += interval_s) {
      const level_m = courseAt(t / slower).level_m + random.normal(noise_m);
      const on = floatOn?.((t % (slower * cycle_s)) - slower * rest_s) ?? false;
      if (floatOn !== null && told.at(-1)?.on !== on) told.push({ time_s: t, on });
      feedLevel(state, floatOn === null ? { swing_m: 0.2 } : { swing_m: 0.2, told }, t, level_m, heard);
    }
    settleLevelRuns(state, heard);
    return heard.runs();
  }

  const startsOff_s = (found: ReturnType<typeof runs>) =>
    found.map(({ startedAt_s }, i) => Math.abs(startedAt_s - slower * (i * cycle_s + rest_s)));
  const stopsOff_s = (found: ReturnType<typeof runs>) =>
    found.map(({ stoppedAt_s }, i) => Math.abs(stoppedAt_s - slower * (i + 1) * cycle_s));

  it("dates start and stop to within an interval, which noise alone does not leave", () => {
    const alone = runs(null);
    expect(Math.max(...startsOff_s(alone), ...stopsOff_s(alone))).toBeGreaterThan(interval_s);
    const beside = runs((into_s) => into_s >= 0);
    expect(beside).toHaveLength(cycles);
    expect(Math.max(...startsOff_s(beside), ...stopsOff_s(beside))).toBeLessThanOrEqual(interval_s);
  });

  it("dates the starts where it opens again in the midst of the run, and leaves the stops to the level", () => {
    const beside = runs((into_s) => into_s >= 0 && into_s < 20);
    expect(beside).toHaveLength(cycles);
    expect(Math.max(...startsOff_s(beside))).toBeLessThanOrEqual(interval_s);
    expect(Math.max(...stopsOff_s(beside))).toBeLessThanOrEqual(Math.max(...stopsOff_s(runs(null))));
  });

  it.each([
    ["never closes", () => false],
    ["never opens", () => true],
    ["goes on and off far from the runs", (into_s: number) => into_s < -200],
  ])("loses no run and moves none where it %s", (_, floatOn) => {
    expect(runs(floatOn)).toEqual(runs(null));
  });
});
