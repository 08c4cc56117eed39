import { describe, expect, it } from "vitest";
import { carriesSignal, newRunSignal, runSignal } from "../../../../analysis/cycles/by-signal/run-signal.ts";
import type { Reading } from "../../../../analysis/readings/reading.ts";
import { reading } from "../../small-basin.ts";

/** What the signal says after each of these readings. */
function follow(readings: readonly Partial<Reading>[], hasLevel = true): (boolean | null)[] {
  const state = newRunSignal();
  return readings.map((channels, i) => runSignal(state, reading(i, channels), hasLevel));
}

describe("runSignal", () => {
  it("is unknown until a channel tells", () => {
    expect(follow([{}, { level_m: 0.3 }, { pumpOn: true }])).toEqual([null, null, true]);
  });

  it("follows the contact, and keeps what it said while it is silent", () => {
    expect(follow([{ pumpOn: true }, {}, { pumpOn: false }, { level_m: 0.2 }])).toEqual([true, true, false, false]);
  });

  it("takes a float that calls for a pump that runs, but for as long as the supply is gone", () => {
    const readings = [
      { floatOn: true, mainsOn: true },
      { mainsOn: false },
      { floatOn: true },
      { mainsOn: true },
      { floatOn: false },
    ];
    expect(follow(readings, false)).toEqual([true, false, false, true, false]);
    expect(follow([{ pumpOn: true, mainsOn: false }])).toEqual([true]);
  });

  it("believes a contact before the motor's current, and a current before its power", () => {
    expect(follow([{ pumpOn: false, pumpCurrent_a: 6, pumpPower_w: 500 }])).toEqual([false]);
    expect(follow([{ pumpCurrent_a: 6, pumpPower_w: 0 }])).toEqual([true]);
    expect(follow([{ pumpPower_w: 500 }, { pumpCurrent_a: 0, pumpPower_w: 500 }])).toEqual([true, false]);
  });

  it("does not go back to a lesser channel while the better one is silent", () => {
    expect(follow([{ pumpOn: true }, { pumpCurrent_a: 0 }, { floatOn: false }])).toEqual([true, true, true]);
  });

  it("tells a running motor from its idle current and from what a clamp shows at rest", () => {
    const amperes = [0.1, 0.1, 14, 6.8, 6.4, 5.2, 0.1, 0.12, 6.7, 0.1];
    expect(follow(amperes.map((pumpCurrent_a) => ({ pumpCurrent_a })))).toEqual([
      false,
      false,
      true,
      true,
      true,
      true,
      false,
      false,
      true,
      false,
    ]);
  });

  it("does not take the current of a controller beside the motor for a run", () => {
    // 1.2 A at rest, 6.5 A running: under a quarter of the load is at rest whatever it is.
    const amperes = [1.2, 6.5, 6.5, 1.2, 1.2, 6.5, 6.5, 1.2];
    expect(follow(amperes.map((pumpCurrent_a) => ({ pumpCurrent_a }))).slice(1)).toEqual([
      ...[true, true, false, false],
      ...[true, true, false],
    ]);
  });

  it("changes nothing between a quarter and 45 % of the highest load", () => {
    const amperes = [10, 10, 3, 4.4, 0, 3, 4.4, 4.6];
    expect(follow(amperes.map((pumpCurrent_a) => ({ pumpCurrent_a })))).toEqual([
      ...[true, true, true, true],
      ...[false, false, false, true],
    ]);
  });

  it("makes no measure of an inrush of seven times the running current", () => {
    const amperes = [0.3, 0.3, 42, 6, 6, 6, 0.3, 41, 6, 6, 0.3];
    expect(follow(amperes.map((pumpCurrent_a) => ({ pumpCurrent_a })))).toEqual(amperes.map((load) => load > 1));
  });

  it("does not take what a controller and its lamp draw for a run, before the first run has been seen either", () => {
    expect(follow([{ pumpPower_w: 30 }, { pumpPower_w: 500 }, { pumpPower_w: 30 }])).toEqual([false, true, false]);
    expect(follow([{ pumpCurrent_a: 0.3 }, { pumpCurrent_a: 4 }, { pumpCurrent_a: 0.3 }])).toEqual([
      false,
      true,
      false,
    ]);
  });

  it("sees a run by power, and a few watts of standby as rest", () => {
    expect(follow([{ pumpPower_w: 4 }, { pumpPower_w: 550 }, { pumpPower_w: 4 }])).toEqual([false, true, false]);
  });

  it("forgets a start's inrush of a day ago, however high it was", () => {
    const state = newRunSignal();
    runSignal(state, reading(0, { pumpCurrent_a: 40 }), true);
    for (let t = 1; t < 86_400; t++) runSignal(state, reading(t, { pumpCurrent_a: 0 }), true);
    expect(runSignal(state, reading(86_400, { pumpCurrent_a: 9 }), true)).toBe(true);
  });

  it("takes the pump's float for the pump only where there is no level", () => {
    expect(follow([{ floatOn: true }, { floatOn: false }], false)).toEqual([true, false]);
    expect(follow([{ floatOn: true }, { floatOn: false }], true)).toEqual([null, null]);
  });

  it("lets go of the float when a level turns up", () => {
    const state = newRunSignal();
    expect(runSignal(state, reading(0, { floatOn: true }), false)).toBe(true);
    expect(runSignal(state, reading(1, { floatOn: true, level_m: 0.3 }), true)).toBe(null);
  });
});

describe("carriesSignal", () => {
  it("is true of a reading in which the channel that tells speaks", () => {
    const state = newRunSignal();
    expect(carriesSignal(state, reading(0, { pumpOn: true }))).toBe(false);
    runSignal(state, reading(0, { pumpCurrent_a: 6 }), true);
    expect(carriesSignal(state, reading(1, { pumpCurrent_a: 0 }))).toBe(true);
    expect(carriesSignal(state, reading(2, { level_m: 0.2 }))).toBe(false);
  });
});
