import { describe, expect, it } from "vitest";
import {
  askedWithin,
  isAskedSeldom,
  mayBeOld,
  newSignalRows,
  noteLevelWithout,
  noteSignalRow,
  noteUnasked,
} from "../../../../analysis/cycles/by-signal/asked-seldom.ts";

const level_s = 10;

/** Levels each 10 s and rows of the signal at these times; `on` is what it says there. */
function rowsAt(times_s: readonly number[], on: (time_s: number) => boolean) {
  const state = newSignalRows();
  let before = false;
  let upTo_s = 0;
  for (const time_s of times_s) {
    for (; upTo_s < time_s; upTo_s += level_s) noteLevelWithout(state);
    noteSignalRow(state, time_s, on(time_s) !== before);
    before = on(time_s);
  }
  return state;
}

const minutes = (count: number) => Array.from({ length: count }, (_, i) => 60 * i);
/** A run of 50 s each 17 minutes. */
const runs = (time_s: number) => time_s % 1023 >= 973;

/** When such a pump switches up to then. */
function switches(to_s: number): number[] {
  return Array.from({ length: Math.ceil(to_s / 1023) }, (_, i) => [1023 * i + 973, 1023 * (i + 1)]).flat();
}

describe("a contact that is asked each minute beside a level each 10 s", () => {
  it("may say old news from its first rows on, and is known to once a few of its changes have come at them", () => {
    expect(mayBeOld(rowsAt(minutes(10), runs), level_s)).toBe(true);
    expect(isAskedSeldom(rowsAt(minutes(10), runs), level_s)).toBe(false);
    expect(isAskedSeldom(rowsAt(minutes(80), runs), level_s)).toBe(true);
  });

  it("is known sooner where runs went by between its rows", () => {
    const state = rowsAt(minutes(10), () => false);
    for (let i = 0; i < 3; i += 1) noteUnasked(state);
    expect(isAskedSeldom(state, level_s)).toBe(true);
  });

  it("is so with rows that are late by a few seconds, or lost", () => {
    const late = minutes(200)
      .filter((_, i) => i % 29 !== 5)
      .map((time_s, i) => time_s + (i % 4));
    expect(isAskedSeldom(rowsAt(late, runs), level_s)).toBe(true);
  });

  it("was asked within a run if a row lies in it, less surely the nearer to its ends", () => {
    const state = rowsAt(minutes(10), runs);
    expect(askedWithin(state, 500, 560, 5)).toBe(1);
    expect(askedWithin(state, 535, 560, 5)).toBe(1);
    expect(askedWithin(state, 538, 560, 5)).toBeCloseTo(0.7, 12);
    expect(askedWithin(state, 540, 560, 5)).toBe(0);
    expect(askedWithin(state, 545, 560, 5)).toBe(0);
    expect(askedWithin(state, 470, 490, 5)).toBe(1);
  });
});

describe("a contact that speaks for itself", () => {
  it("says no old news where a heartbeat says it again each minute", () => {
    const changes = switches(20_000);
    const beats = minutes(330).filter((time_s) => changes.every((at_s) => at_s !== time_s));
    const state = rowsAt(
      [...beats, ...changes].sort((a, b) => a - b),
      runs,
    );
    expect(mayBeOld(state, level_s)).toBe(false);
  });

  it("says none where it writes its changes alone, however evenly they come", () => {
    const evenly = (time_s: number) => time_s % 120 >= 60;
    expect(isAskedSeldom(rowsAt(minutes(200), evenly), level_s)).toBe(false);
  });

  it("says none where it is read with each level, but for rows that are lost now and then", () => {
    const state = newSignalRows();
    for (let i = 0; i < 400; i += 1) {
      if (i % 37 === 36) noteLevelWithout(state);
      else noteSignalRow(state, 10 * i, runs(10 * i) !== runs(10 * i - 10));
    }
    expect(mayBeOld(state, level_s)).toBe(false);
  });
});
