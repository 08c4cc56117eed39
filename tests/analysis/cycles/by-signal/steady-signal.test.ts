import { describe, expect, it } from "vitest";
import {
  feedSignal,
  flickersAt,
  newSteadySignal,
  settleSignal,
} from "../../../../analysis/cycles/by-signal/steady-signal.ts";
import * as fc from "../../../at-random.ts";
import { hear } from "../heard.ts";

type Row = readonly [time_s: number, on: boolean | null, level_m?: number | null];

function feed(rows: readonly Row[], settle = true, ownRows = false) {
  const state = newSteadySignal();
  const heard = hear();
  for (const [time_s, on, level_m = null] of rows) feedSignal(state, time_s, on, level_m, heard, ownRows);
  if (settle) settleSignal(state, heard);
  return heard;
}

describe("feedSignal", () => {
  it("dates an edge at the reading that first showed it, once it has lasted 1.5 s", () => {
    const rows: Row[] = [
      [0, false],
      [1, false],
      [2, true],
      [3, true],
    ];
    expect(feed(rows, false).edges()).toEqual([{ time_s: 0, on: false }]);
    expect(feed([...rows, [4, true]], false).edges()).toEqual([
      { time_s: 0, on: false },
      { time_s: 2, on: true },
    ]);
  });

  it("takes the first state at once, since there is nothing that it could have bounced from", () => {
    expect(feed([[0, true]], false).edges()).toEqual([{ time_s: 0, on: true }]);
  });

  it("takes a row for as long as it stands where each is a change of the contact: runs and rests of 3 s are all there", () => {
    const changes = Array.from({ length: 20 }, (_, i): Row => [100 + 3 * i, i % 2 === 0]);
    const switches = (ownRows: boolean) =>
      feed([[0, false], ...changes], true, ownRows)
        .edges()
        .slice(1);
    expect(switches(true)).toEqual(changes.map(([time_s, on]) => ({ time_s, on })));
    expect(switches(false).length).toBeLessThan(changes.length);
  });

  it("overhears a contact that bounces on its way over, which it began at its first touch", () => {
    const rows: Row[] = [
      [0, false],
      [10, true],
      [10.02, false],
      [10.05, true],
      [10.3, false],
      [10.4, true],
      [11, true],
      [12, true],
    ];
    expect(feed(rows).edges()).toEqual([
      { time_s: 0, on: false },
      { time_s: 10, on: true },
    ]);
  });

  it("dates the end of a run at its first touch too, though the contact closes once more a second later", () => {
    const rows: Row[] = [0, 0, 1, 1, 1, 1, 0, 1, 0, 0, 0].map((on, t) => [t, on === 1]);
    expect(feed(rows).edges()).toEqual([
      { time_s: 0, on: false },
      { time_s: 2, on: true },
      { time_s: 6, on: false },
    ]);
  });

  it("takes a contact that goes to and fro for a minute, while the water falls, for a pump that starts each time", () => {
    const rows: Row[] = Array.from({ length: 80 }, (_, t) => [t, t >= 10 && t < 70 && t % 2 === 0, 0.8 - t / 200]);
    const heard = feed(rows);
    expect(heard.edges().slice(1)).toEqual(Array.from({ length: 60 }, (_, i) => ({ time_s: 10 + i, on: i % 2 === 0 })));
    expect(heard.samples()).toHaveLength(80);
  });

  it("takes one that goes to and fro while the water rises, or unseen, for one that flickers", () => {
    const rows = (level: (t: number) => number | null): Row[] =>
      Array.from({ length: 80 }, (_, t) => [t, t >= 10 && t < 70 && t % 2 === 0, level(t)]);
    expect(feed(rows((t) => 0.2 + t / 1000)).edges()).toEqual([{ time_s: 0, on: false }]);
    expect(feed(rows(() => null)).edges()).toEqual([{ time_s: 0, on: false }]);
  });

  it("hears a float that chatters before the run, and the run from where it stays on", () => {
    const rows: Row[] = [..."000100100100111111110000000"].map((on, t) => [t, on === "1", 0.8 - t / 200]);
    const switched = [3, 4, 6, 7, 9, 10, 12, 20];
    expect(feed(rows).edges().slice(1)).toEqual(switched.map((time_s, i) => ({ time_s, on: i % 2 === 0 })));
  });

  it("overhears a contact that bounces for two seconds, five times a second", () => {
    const rows: Row[] = Array.from({ length: 100 }, (_, i) => [i / 5, i >= 20 && (i >= 30 || i % 2 === 0)]);
    expect(feed(rows).edges()).toEqual([
      { time_s: 0, on: false },
      { time_s: 4, on: true },
    ]);
  });

  it.each([
    ["0001011111110000000000", [6, 24]],
    ["0001111111110100000000", [6, 24]],
    ["0001011111110100000000", [6, 24]],
  ])("overhears a contact that bounces for three seconds, read each 2 s: %s", (said, switched) => {
    const rows: Row[] = [...said].map((on, i) => [2 * i, on === "1", 0.3 - i / 500]);
    expect(feed(rows).edges()).toEqual([0, ...switched].map((time_s, i) => ({ time_s, on: i % 2 === 1 })));
  });

  it("hears a run that only one reading each 2 s saw, and a rest, seconds from any other switch", () => {
    const rows: Row[] = [..."000010000011110111100000"].map((on, i) => [2 * i, on === "1"]);
    const switched = [0, 8, 10, 20, 28, 30, 38];
    expect(feed(rows).edges()).toEqual(switched.map((time_s, i) => ({ time_s, on: i % 2 === 1 })));
  });

  it("overhears a flicker that is gone at the next reading", () => {
    const rows: Row[] = Array.from({ length: 60 }, (_, t) => [t, t % 10 === 5, 0.2 + t / 1000]);
    expect(feed(rows).edges()).toEqual([{ time_s: 0, on: false }]);
    expect(feed(rows).samples()).toHaveLength(60);
  });

  it("hears every run of readings far apart, one reading long too", () => {
    const rows: Row[] = [
      [0, false],
      [60, true],
      [120, false],
      [180, true],
      [240, true],
      [300, false],
    ];
    expect(feed(rows).edges()).toEqual([
      { time_s: 0, on: false },
      { time_s: 60, on: true },
      { time_s: 120, on: false },
      { time_s: 180, on: true },
      { time_s: 300, on: false },
    ]);
  });

  it("lets no level pass before the edge that came with it or before it", () => {
    const heard = feed([
      [0, false, 0.2],
      [1, true, 0.3],
      [2, true, 0.29],
      [3, true, 0.28],
    ]);
    expect(heard.all).toEqual([
      { time_s: 0, what: false },
      { time_s: 0, what: 0.2 },
      { time_s: 1, what: true },
      { time_s: 1, what: 0.3 },
      { time_s: 2, what: 0.29 },
      { time_s: 3, what: 0.28 },
    ]);
  });

  it("waits through readings that do not tell", () => {
    const rows: Row[] = [
      [0, false],
      [5, true],
      [6, null],
      [7, null],
      [8, true],
    ];
    expect(feed(rows).edges()).toEqual([
      { time_s: 0, on: false },
      { time_s: 5, on: true },
    ]);
  });

  it("says nothing before the signal is known, but passes levels on", () => {
    const heard = feed([
      [0, null, 0.2],
      [1, null, 0.21],
    ]);
    expect(heard.edges()).toEqual([]);
    expect(heard.samples()).toHaveLength(2);
  });

  it("loses no level, doubles none, keeps all in order of time, and never gives an edge twice", () => {
    const row = fc.record({
      step_s: fc.constantFrom(0, 0.1, 0.5, 1, 1.5, 2, 60),
      on: fc.constantFrom(true, false, null),
      level: fc.boolean(),
    });
    fc.assert(
      fc.property(fc.array(row, { maxLength: 80 }), (rows) => {
        let time_s = 1000;
        const fed: Row[] = rows.map(({ step_s, on, level }) => {
          time_s += step_s;
          return [time_s, on, level ? time_s : null];
        });
        const heard = feed(fed);
        expect(heard.samples().map((sample) => sample.level_m)).toEqual(
          fed.flatMap(([, , level_m]) => (level_m == null ? [] : [level_m])),
        );
        heard.all.forEach(({ time_s: at_s }, i) => {
          expect(at_s).toBeGreaterThanOrEqual(heard.all[i - 1]?.time_s ?? 0);
        });
        heard.edges().forEach(({ on }, i) => {
          expect(on).not.toBe(heard.edges()[i - 1]?.on);
        });
      }),
    );
  });
});

describe("settleSignal", () => {
  it("counts a change in progress as made, since nothing more will come", () => {
    const heard = feed([
      [0, false, 0.2],
      [1, true, 0.3],
    ]);
    expect(heard.edges()).toEqual([
      { time_s: 0, on: false },
      { time_s: 1, on: true },
    ]);
    expect(heard.samples()).toHaveLength(2);
  });
});

describe("flickersAt", () => {
  it("counts changes that did not last, half of them forgotten after seven minutes", () => {
    const state = newSteadySignal();
    const heard = hear();
    for (let t = 0; t < 20; t++) feedSignal(state, t, t % 2 === 1, null, heard);
    // Ten on and off: the last has not gone back yet. Within 20 s next to nothing is forgotten.
    expect(flickersAt(state, 20)).toBeGreaterThan(8.8);
    expect(flickersAt(state, 20)).toBeLessThan(9);
    expect(flickersAt(state, 20 + 600 * Math.LN2) / flickersAt(state, 20)).toBeCloseTo(0.5, 9);
  });

  it("is none for a signal that only makes whole runs", () => {
    const state = newSteadySignal();
    const heard = hear();
    for (let t = 0; t < 600; t++) feedSignal(state, t, t % 100 < 20, null, heard);
    expect(flickersAt(state, 600)).toBe(0);
  });

  it("tells of a contact that always bounces for as long how much of that may have hidden a change", () => {
    const state = newSteadySignal();
    const heard = hear();
    const contact = (time_s: number, on: boolean) => feedSignal(state, time_s, on, null, heard);
    contact(0, false);
    // From off to on and back each 10 s: it goes to and fro for 1.6 s.
    const change = (from_s: number, to: boolean, firstTouch_s: number) => {
      for (let k = 0; k < 50; k += 1) {
        const t = k / 5;
        contact(from_s + t, t < firstTouch_s ? !to : t > 1.6 || k % 2 === 0 ? to : !to);
      }
    };
    for (let i = 0; i < 12; i += 1) change(10 * (i + 1), i % 2 === 0, 0);
    expect(state.hidden_s).toBeCloseTo(0, 1);
    change(130, true, 1.1);
    expect(heard.edges().at(-1)).toEqual({ time_s: 131.2, on: true });
    expect(state.hidden_s).toBeCloseTo(1.2, 1);
  });
});
describe("feedSignal, of a signal that is on its way", () => {
  const feed = (rows: readonly (readonly [on: boolean, turning: boolean])[]) => {
    const state = newSteadySignal();
    const heard = hear();
    rows.forEach(([on, turning], time_s) => {
      feedSignal(state, time_s, on, 0.1 + time_s / 100, heard, false, turning);
    });
    settleSignal(state, heard);
    return { state, heard };
  };

  it("dates the change by where it began to go over, and takes that for no bounce", () => {
    const { state, heard } = feed([
      [true, false],
      [true, true],
      [true, true],
      [false, false],
      [false, false],
      [false, false],
    ]);
    expect(heard.edges()).toEqual([
      { time_s: 0, on: true },
      { time_s: 1, on: false },
    ]);
    expect(state.bounce.longest_s).toBe(0);
  });

  it("knows of no change where it comes back, and loses no level by that", () => {
    const { state, heard } = feed([
      [true, false],
      [true, true],
      [true, true],
      [true, false],
      [true, true],
    ]);
    expect(heard.edges()).toEqual([{ time_s: 0, on: true }]);
    expect(heard.samples().length).toBe(5);
    expect(state.flickers).toBe(0);
  });
});
