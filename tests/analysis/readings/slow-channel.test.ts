import { describe, expect, it } from "vitest";
import { forgetStand, newSlowChannel, noteRain, noteTemperature } from "../../../analysis/readings/slow-channel.ts";

const hour_s = 3600;
const day_s = 86_400;

/** A reading a minute, and a start of the pump every hour; the figure by the time. */
function watch(take: typeof noteRain, days: number, valueAt: (time_s: number) => number | null) {
  const state = newSlowChannel();
  let first_s: number | null = null;
  for (let time_s = 0; time_s < days * day_s; time_s += 60) {
    take(state, time_s, valueAt(time_s), time_s % hour_s === 0);
    if (state.stuck) first_s ??= time_s;
  }
  return { state, first_s };
}

/** Twelve degrees, three up and down over the day, in steps of a tenth. */
const overTheDay = (time_s: number) => Math.round(10 * (12 + 3 * Math.sin((2 * Math.PI * time_s) / day_s))) / 10;

describe("a thermometer", () => {
  it.each([
    [0.1, 1],
    [0.5, 2],
  ])(
    "is stuck when by steps of %f it gives the same figure for %i days, and eight times as long as it ever did",
    (step, days) => {
      const coarsely = (time_s: number) => step * Math.round(overTheDay(Math.min(time_s, 3 * day_s)) / step);
      const { first_s } = watch(noteTemperature, 8, coarsely);
      expect(first_s).toBeGreaterThan((3 + days) * day_s - 5 * hour_s);
      expect(first_s).toBeLessThanOrEqual((3 + days) * day_s + 5 * hour_s);
    },
  );

  it("has not shown how long it stands that only trembles between two figures", () => {
    const trembles = (time_s: number) => (time_s < 10 * day_s && time_s % 7200 < 3600 ? 13 : 12);
    expect(watch(noteTemperature, 20, trembles).first_s).toBeNull();
  });

  it("is well in a basement where nothing changes, and by coarse steps", () => {
    expect(watch(noteTemperature, 30, () => 12).first_s).toBeNull();
    // Whole degrees, and a week of twelve after a fortnight in which it stood for a day at the most.
    const coarse = (time_s: number) => (time_s < 14 * day_s ? 12 + (Math.floor(time_s / day_s) % 2) : 12);
    expect(watch(noteTemperature, 21, coarse).first_s).toBeNull();
  });

  it("is well again when it moves, and over a gap nobody knows whether it stood", () => {
    const { state } = watch(noteTemperature, 8, (time_s) => overTheDay(Math.min(time_s, 3 * day_s)));
    noteTemperature(state, 8 * day_s, 12.3, true);
    expect(state.stuck).toBe(false);
    const other = watch(noteTemperature, 5, (time_s) => overTheDay(Math.min(time_s, 3.5 * day_s))).state;
    forgetStand(other);
    noteTemperature(other, 6 * day_s, overTheDay(3.5 * day_s), true);
    expect(other.stuck).toBe(false);
  });
});

describe("a rain gauge", () => {
  it("is stuck when every reading for a day tells of the same rain", () => {
    const { first_s } = watch(noteRain, 4, (time_s) => (time_s < day_s ? 0 : 0.0002));
    expect(first_s).toBeGreaterThan(2 * day_s - hour_s);
    expect(first_s).toBeLessThanOrEqual(2 * day_s + hour_s);
  });

  it("is well where it speaks of every tip of its bucket alike, and is silent or says nothing in between", () => {
    const tips = (time_s: number) => time_s % 420 === 0;
    expect(watch(noteRain, 10, (time_s) => (tips(time_s) ? 0.0002 : null)).first_s).toBeNull();
    expect(watch(noteRain, 10, (time_s) => (tips(time_s) ? 0.0002 : 0)).first_s).toBeNull();
    expect(watch(noteRain, 60, () => 0).first_s).toBeNull();
  });
});
