import { describe, expect, it } from "vitest";
import { currentLoad, type LoadKind, powerLoad } from "../../../../analysis/cycles/by-signal/load-kind.ts";
import { isLoaded, newLoadSplit } from "../../../../analysis/cycles/by-signal/load-split.ts";
import { seededRandom } from "../../../../daemon/sources/simulated/random.ts";

interface Motor {
  readonly standing: number;
  readonly running: number;
  readonly inrush?: number;
  readonly every_s?: number;
  readonly rest_s?: number;
  readonly run_s?: number;
  /** Share by which the supply, and so the load, wanders in the course of a day. */
  readonly drift?: number;
  readonly hours?: number;
}

/** Share of readings, those at a start apart, at which a motor at work was said to stand, or the reverse. */
function wrongShare(motor: Motor, kind: LoadKind = currentLoad, seed = 1): number {
  const { standing, running, inrush = 6, every_s = 1, rest_s = 300, run_s = 15, drift = 0, hours = 12 } = motor;
  const random = seededRandom(seed);
  const state = newLoadSplit();
  let on: boolean | null = null;
  let wrong = 0;
  let all = 0;
  for (let t = 0; t < hours * 3600; t += every_s) {
    const phase_s = t % (rest_s + run_s);
    const runs = phase_s >= rest_s;
    const supply = 1 + drift * Math.sin((2 * Math.PI * t) / 86_400);
    const starting = runs && phase_s - rest_s < 0.5;
    const load = (runs ? running * (starting ? inrush : 1) : standing) * supply * (1 + random.normal(0.03));
    on = isLoaded(state, kind, t, load, on);
    if (starting) continue;
    all += 1;
    if (on !== runs) wrong += 1;
  }
  return wrong / all;
}

describe("isLoaded", () => {
  it.each([
    { standing: 0.1, running: 2 },
    { standing: 0.4, running: 2 },
    { standing: 0.4, running: 3.5 },
    { standing: 0.25, running: 6.8 },
    { standing: 0.4, running: 15 },
  ])("tells $running A at work from $standing A of a lamp, with an inrush of seven times", (motor) => {
    expect(wrongShare({ ...motor, inrush: 7 })).toBe(0);
  });

  it("goes along with a supply that wanders by a tenth", () => {
    expect(wrongShare({ standing: 0.3, running: 4.2, drift: 0.1, hours: 30 })).toBe(0);
  });

  it("learns what stands on the line beside the motor, more than a lamp though it be", () => {
    // Before the first run nothing says that these 1.2 A are no motor.
    expect(wrongShare({ standing: 1.2, running: 8, rest_s: 60 })).toBeLessThan(61 / (12 * 3600));
    expect(wrongShare({ standing: 120, running: 800, rest_s: 60 }, powerLoad)).toBeLessThan(61 / (12 * 3600));
  });

  it("finds the runs of a dry season, ten seconds in a day", () => {
    expect(wrongShare({ standing: 0.2, running: 5, rest_s: 43_000, run_s: 10, hours: 72 })).toBe(0);
  });

  it("does not take both of two motors on one line for one at work beside one that stands", () => {
    const state = newLoadSplit();
    let on: boolean | null = null;
    const said = Array.from({ length: 4000 }, (_, t) => {
      on = isLoaded(state, currentLoad, t, t % 100 < 50 ? 6 : 12, on);
      return on;
    });
    expect(said.every((runs) => runs === true)).toBe(true);
  });

  it("holds through a rotor that was stuck for ten seconds", () => {
    const state = newLoadSplit();
    let on: boolean | null = null;
    const said = Array.from({ length: 2000 }, (_, t) => {
      const load = t >= 1000 && t < 1010 ? 40 : t % 100 < 80 ? 0.2 : 6;
      on = isLoaded(state, currentLoad, t, load, on);
      return on === load > 1;
    });
    expect(said.every((right) => right)).toBe(true);
  });

  it("gets over the inrush in the first of readings ten seconds apart within a run", () => {
    expect(wrongShare({ standing: 0.3, running: 6, every_s: 10, rest_s: 600, run_s: 30 })).toBeLessThan(3 / 4320);
  });

  it("tells a small motor by what it draws at work, and not by its inrush, where readings 5 s apart now and then show that", () => {
    const ofSmall = { standing: 1, running: 115, inrush: 4, every_s: 5, rest_s: 1800, run_s: 41, hours: 48 };
    expect(wrongShare(ofSmall, powerLoad)).toBe(0);
  });

  it.each([1, 5])(
    "learns a fridge on the line that draws for ten times as long as the motor, read each %i s",
    (every_s) => {
      const random = seededRandom(5);
      const state = newLoadSplit();
      let on: boolean | null = null;
      let wrong_s = 0;
      for (let t = 0; t < 86_400; t += every_s) {
        const runs = t % 1400 >= 1380;
        const load_w = ((runs ? 570 : 0) + (t % 7700 < 1375 ? 107 : 1)) * (1 + random.normal(0.02));
        on = isLoaded(state, powerLoad, t, load_w, on);
        if (t > 43_200 && on !== runs) wrong_s += every_s;
      }
      expect(wrong_s).toBe(0);
    },
  );

  it("learns a fridge that starts seven times as often as the motor", () => {
    const random = seededRandom(5);
    const state = newLoadSplit();
    let on: boolean | null = null;
    let wrong_s = 0;
    for (let t = 0; t < 2 * 86_400; t += 2) {
      const runs = t % 14_000 >= 13_980;
      const load_w = ((runs ? 900 : 0) + (t % 2000 < 700 ? 107 : 1)) * (1 + random.normal(0.02));
      on = isLoaded(state, powerLoad, t, load_w, on);
      if (t > 64_800 && on !== runs) wrong_s += 2;
    }
    expect(wrong_s).toBe(0);
  });

  it("takes nothing that stands at about the least a motor draws for one that starts and stops, before the first run", () => {
    const random = seededRandom(4);
    const state = newLoadSplit();
    let on: boolean | null = null;
    const said = Array.from({ length: 600 }, (_, t) => {
      on = isLoaded(state, powerLoad, t, 50 * (1 + random.normal(0.03)), on);
      return on;
    });
    expect(said.includes(true)).toBe(false);
  });

  it.each([1, 2, 3])(
    "takes a motor that works on and on, with more to do or less, for one that never rests (%s)",
    (seed) => {
      const random = seededRandom(seed);
      const state = newLoadSplit();
      let on: boolean | null = null;
      let stops = 0;
      let slow = 0;
      for (let t = 0; t < 10_000; t += 1) {
        slow = 0.9 * slow + random.normal(0.15);
        on = isLoaded(state, currentLoad, t, Math.min(3.3, Math.max(0.9, 2.5 + slow + random.normal(0.35))), on);
        if (on !== true) stops += 1;
      }
      expect(stops).toBe(0);
    },
  );
});
