import { describe, expect, it } from "vitest";
import {
  deniedByContact,
  runAsSaid,
  runsOnAsSaid,
  type SaidToRun,
  standsWhileSaid,
  stopAsSaid,
} from "../../../../analysis/cycles/by-level/seldom-contact.ts";
import { letWait, nothingWaits } from "../../../../analysis/cycles/waiting-samples.ts";

/** Levels every 30 s from `from_s` on, their highest read at `extremeAt_s`. */
function turning(from_s: number, extremeAt_s: number, levels_m: readonly number[]) {
  const waiting = nothingWaits();
  for (const [i, level_m] of levels_m.entries()) letWait(waiting, from_s + 30 * i, level_m, level_m);
  return { waiting, extreme_m: 0.34, extremeAt_s };
}

const said: SaidToRun = { from_s: 60, to_s: 90, over: true };

describe("runAsSaid", () => {
  it("gives start and stop between the readings at which the contact changed", () => {
    const run = runAsSaid(turning(30, 30, [0.34, 0.34, 0.34, 0.34, 0.15]), said);
    expect(run).toEqual({ startedAt_s: 45, stoppedAt_s: 75, before: 1, stood: 4 });
  });

  it("gives no stop while the contact says that the pump runs", () => {
    const run = runAsSaid(turning(30, 30, [0.34, 0.34, 0.34, 0.15]), { ...said, to_s: 120, over: false });
    expect(run).toEqual({ startedAt_s: 45, stoppedAt_s: null, before: 1, stood: 3 });
  });

  it("knows the reading before the start though it waits no longer", () => {
    expect(runAsSaid(turning(60, 30, [0.34, 0.34, 0.34, 0.15]), said)?.startedAt_s).toBe(45);
  });

  it("gives both also where the readings at which the contact said 'runs' had no level", () => {
    const run = runAsSaid(turning(120, 30, [0.34, 0.34, 0.15]), said);
    expect(run).toEqual({ startedAt_s: 45, stoppedAt_s: 75, before: 0, stood: 2 });
  });

  it("leaves it to the level where the fall shows in the run, or no contact saw the run", () => {
    expect(runAsSaid(turning(30, 30, [0.34, 0.32, 0.15]), said)).toBeNull();
    expect(runAsSaid(turning(30, 90, [0.34, 0.34, 0.34, 0.34, 0.15]), said)).toBeNull();
    expect(runAsSaid(turning(30, 30, [0.34, 0.34, 0.15]), null)).toBeNull();
  });
});

describe("standsWhileSaid", () => {
  it("holds from the reading on at which the contact first said 'runs', while the level is the highest to the last digit", () => {
    const level = turning(30, 30, [0.34, 0.34]);
    expect(standsWhileSaid(level, said, 60, 0.34)).toBe(true);
    expect(standsWhileSaid(level, said, 150, 0.34)).toBe(true);
    expect(standsWhileSaid(level, said, 150, 0.341)).toBe(false);
    expect(standsWhileSaid(level, said, 30, 0.34)).toBe(false);
    expect(standsWhileSaid(level, null, 60, 0.34)).toBe(false);
  });
});

/** Levels every 30 s of a run that has come down to 0.05 m at 90 s, and of the rest after it. */
const down = () => ({ ...turning(90, 90, [0.05, 0.05, 0.051, 0.05, 0.06]), extreme_m: 0.05 });

describe("runsOnAsSaid", () => {
  it("holds while the contact has said 'runs' since before the level was at its lowest", () => {
    expect(runsOnAsSaid(down(), { from_s: 60, to_s: 210, over: false })).toBe(true);
    expect(runsOnAsSaid(down(), { from_s: 60, to_s: 210, over: true })).toBe(false);
    expect(runsOnAsSaid(down(), { from_s: 120, to_s: 210, over: false })).toBe(false);
    expect(runsOnAsSaid(down(), null)).toBe(false);
  });
});

describe("stopAsSaid", () => {
  it("gives the stop of a run that went on while the water stood, between the readings at which the contact changed", () => {
    expect(stopAsSaid(down(), { from_s: 60, to_s: 180, over: true })).toEqual({ at_s: 165, before: 3 });
    expect(stopAsSaid(down(), { from_s: 60, to_s: 210, over: true })).toEqual({ at_s: 195, before: 4 });
  });

  it("leaves it to the level where that turned as the contact changed, or that has not", () => {
    expect(stopAsSaid(down(), { from_s: 60, to_s: 120, over: true })).toBeNull();
    expect(stopAsSaid(down(), { from_s: 60, to_s: 150, over: true })).toBeNull();
    expect(stopAsSaid(down(), { from_s: 60, to_s: 210, over: false })).toBeNull();
    expect(stopAsSaid(down(), null)).toBeNull();
  });
});

describe("deniedByContact", () => {
  const rests: SaidToRun = { from_s: -300, to_s: -270, over: true, seesEach: true };

  it("holds of a fall that a contact which sees each run has not heard, until it has lasted", () => {
    expect(deniedByContact(turning(30, 30, [0.34, 0.1, 0.08]), rests, 0.12)).toBe(true);
    expect(deniedByContact(turning(30, 30, [0.34, 0.1, 0.08, 0.34, 0.1, 0.08]), rests, 0.12)).toBe(true);
    expect(deniedByContact(turning(30, 30, [0.34, 0.1, 0.11, 0.12, 0.13]), rests, 0.12)).toBe(false);
  });

  it("does not where the contact has told of the run, may have missed it, or there is none", () => {
    const level = turning(30, 30, [0.34, 0.1, 0.08]);
    expect(deniedByContact(level, { ...rests, to_s: 60 }, 0.12)).toBe(false);
    expect(deniedByContact(level, { ...rests, over: false }, 0.12)).toBe(false);
    expect(deniedByContact(level, { ...rests, seesEach: false }, 0.12)).toBe(false);
    expect(deniedByContact(level, null, 0.12)).toBe(false);
  });
});
