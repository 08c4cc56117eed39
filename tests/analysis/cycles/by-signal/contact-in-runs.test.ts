import { describe, expect, it } from "vitest";
import { beginFall, type FallingLevel, newFallingLevel } from "../../../../analysis/cycles/by-level/falling-level.ts";
import {
  contactChanged,
  isDeadInRuns,
  newContactInRuns,
  noteRestOver,
  noteRunOver,
} from "../../../../analysis/cycles/by-signal/contact-in-runs.ts";

/** A fall from 0.3 to 0.1 m, in which one level was read at `level_m`, after a rest of ten minutes. */
function fallThrough(level_m: number, within = 1): FallingLevel {
  const fall = newFallingLevel();
  fall.stopped = { time_s: 0, level_m: 0.1 };
  beginFall(fall, { time_s: 600, level_m: 0.3 }, { time_s: 630, level_m });
  const point = { time_s: 630, level_m };
  return Object.assign(fall, { within, first: point, last: point, stopped: { time_s: 660, level_m: 0.1 } });
}

const over = (level_m = 0.2) => ({
  startedAt_s: 600,
  stoppedAt_s: 640,
  fall: fallThrough(level_m),
  surelySeen: false,
  atStart: true,
  atStop: true,
});

/** Runs until the contact is dead, after so many that it told of; 200 at the most. */
function runsUntilDead(heard: number, level_m = 0.2): number {
  const state = newContactInRuns();
  for (let i = 0; i < heard; i += 1) noteRunOver(state, over(level_m), null);
  contactChanged(state, 0);
  let runs = 0;
  for (; runs < 200 && !isDeadInRuns(state); runs += 1) noteRunOver(state, over(level_m), false);
  return runs;
}

describe("a contact held against the runs that a level shows", () => {
  it("is dead the sooner the more runs it has told of", () => {
    // −ln of one in 4, 24 and 64 for a run: 14 takes 11, 5 and 4 of them.
    expect([0, 20, 60].map((heard) => runsUntilDead(heard))).toEqual([11, 5, 4]);
  });

  it("is not judged by runs in which no level was read", () => {
    expect(runsUntilDead(20, 0.295)).toBe(200);
  });

  it("is judged by several levels within a run as by one, for all of them lag behind the water together", () => {
    const [state, other] = [newContactInRuns(), newContactInRuns()];
    noteRunOver(state, over(), false);
    noteRunOver(other, { ...over(), fall: fallThrough(0.2, 3) }, false);
    expect(other.against).toBe(state.against);
  });

  it("is judged more slowly that has missed some before", () => {
    const state = newContactInRuns();
    for (let i = 0; i < 20; i += 1) noteRunOver(state, over(), i % 4 === 0 ? false : null);
    contactChanged(state, 0);
    for (let i = 0; i < 5; i += 1) noteRunOver(state, over(), false);
    expect(isDeadInRuns(state)).toBe(false);
  });

  it("is known to be dead of two that take turns, and not of one whose pump stands by", () => {
    const turns = (ofTheOther: number) => {
      const state = newContactInRuns();
      for (let i = 0; i < 200; i += 1) noteRunOver(state, over(), false, i % (ofTheOther + 1) === 0 ? false : null);
      return isDeadInRuns(state);
    };
    // Every second run unheard, and one in ten, of those that another contact misses.
    expect([1, 9].map(turns)).toEqual([true, false]);
  });

  it("is dead that says 'runs' through three long rests, and not through short ones", () => {
    const told = [60, 600].map((rest_s) => {
      const state = newContactInRuns();
      for (let i = 0; i < 3; i += 1) {
        noteRunOver(state, over(), true);
        noteRestOver(state, 640 + rest_s, 30, true);
      }
      return isDeadInRuns(state);
    });
    expect(told).toEqual([false, true]);
  });

  it.each(["atStart", "atStop"])(
    "that says 'runs' is judged by no fall that turned elsewhere than the float (%s)",
    (where) => {
      const told = [true, false].map((there) => {
        const state = newContactInRuns();
        for (let i = 0; i < 3; i += 1) noteRunOver(state, { ...over(), surelySeen: true, [where]: there }, true);
        return isDeadInRuns(state);
      });
      expect(told).toEqual([true, false]);
    },
  );

  it("that says 'runs' is judged by no rest that began over the stop level", () => {
    const state = newContactInRuns();
    for (let i = 0; i < 3; i += 1) {
      noteRunOver(state, { ...over(), atStop: false }, true);
      noteRestOver(state, 1240, 30, true);
    }
    expect(state.against).toBe(0);
  });
});
