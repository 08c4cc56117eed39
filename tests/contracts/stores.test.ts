// What every store must do, whatever it is made of. Runs over the list of stores there are.

import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import type { InflowStretch } from "../../analysis/analyzer.ts";
import { type Reading, silentReading } from "../../analysis/readings/reading.ts";
import { storeKinds } from "../../daemon/stores/index.ts";
import { recordReader } from "../../daemon/stores/record-reader.ts";
import type { Store, StoreOptions } from "../../daemon/stores/store.ts";
import * as fc from "../at-random.ts";
import { always, cycleAt, expectFiguresOf, finding, levelAt, noon_s, recordSuite } from "./record-suite.ts";

const stretch = (from_s: number, to_s: number, inflow_m3s: number): InflowStretch => ({
  from_s,
  to_s,
  inflow_m3s,
  uInflow_m3s: inflow_m3s / 100,
});

let folders: string[] = [];

for (const { kind, open } of storeKinds) {
  recordSuite(`the record of a store of kind ${kind}`, {
    async open() {
      const folder = mkdtempSync(join(tmpdir(), "undercroft-records-"));
      folders.push(folder);
      const store = open(join(folder, "store"));
      return {
        reader: recordReader(store),
        async tell({ readings = [], cycles = [], findings = [], inflow = [] }) {
          for (const reading of readings) store.append(reading);
          const save = () => {
            for (const one of inflow) store.saveInflow(one);
            for (const cycle of cycles) store.saveCycle(cycle);
            for (const one of findings) store.saveFinding(one);
          };
          if (cycles.length > 1000)
            store.rebuild(save); // each by itself would wait for the card
          else save();
          store.flush();
        },
      };
    },
    async end() {
      for (const folder of folders) rmSync(folder, { recursive: true });
      folders = [];
    },
  });
}

describe.each(storeKinds)("a store of kind $kind", ({ open }) => {
  let folder: string;
  let store: Store;
  const openStore = (options: StoreOptions = {}) => open(join(folder, "store"), options);
  const reopen = () => {
    store.close();
    store = openStore();
  };

  beforeEach(() => {
    folder = mkdtempSync(join(tmpdir(), "undercroft-stores-"));
    store = openStore();
  });
  afterEach(() => {
    store.close();
    rmSync(folder, { recursive: true });
  });

  describe("readings", () => {
    const value = fc.option(
      fc.double({ noNaN: true, noDefaultInfinity: true }).map((x) => x + 0),
      { nil: null },
    );
    const contact = fc.option(fc.boolean(), { nil: null });
    const anyReading: fc.Arbitrary<Reading> = fc.record(
      {
        time_s: fc.double({ min: 0, max: 4e9, noNaN: true }),
        level_m: value,
        pumpOn: contact,
        floatOn: contact,
        pump2On: contact,
        float2On: contact,
        highFloat: contact,
        pumpCurrent_a: value,
        pumpPower_w: value,
        mainsOn: contact,
        rain_m: value,
        temperature_c: value,
      },
      { noNullPrototype: true },
    );

    it("come back bit for bit and in their order, before and after they are written, and after a restart", () => {
      const all: Reading[] = [];
      fc.assert(
        fc.property(fc.array(anyReading, { maxLength: 40 }), (some) => {
          for (const reading of some) store.append(reading);
          all.push(...some);
          expect([...store.readings(all.length - some.length)]).toStrictEqual(some);
          store.flush();
          expect([...store.readings(all.length - some.length)]).toStrictEqual(some);
        }),
        { numRuns: 30 },
      );
      reopen();
      expect([...store.readings()]).toStrictEqual(all);
      expect(store.readingCount()).toBe(all.length);
    });

    it("are read from the n-th on, across the line between written and waiting", () => {
      for (let i = 0; i < 10; i++) store.append(levelAt(noon_s + i, i));
      store.flush();
      for (let i = 10; i < 15; i++) store.append(levelAt(noon_s + i, i));
      expect([...store.readings(8)].map((r) => r.level_m)).toEqual([8, 9, 10, 11, 12, 13, 14]);
      expect([...store.readings(13)].map((r) => r.level_m)).toEqual([13, 14]);
      expect([...store.readings(15)]).toEqual([]);
    });

    it("are read of a span, written and waiting, however long the record", () => {
      for (let i = 0; i < 8000; i++) {
        store.append(levelAt(noon_s + i * 60, i));
        if (i === 7000) store.flush();
      }
      const levels = (from: number, to: number) =>
        [...store.readingsWithin({ from_s: noon_s + from * 60, to_s: noon_s + to * 60 })].map((r) => r.level_m);
      const numbers = (from: number, to: number) => Array.from({ length: to - from + 1 }, (_, i) => from + i);
      expect(levels(0, 3)).toEqual(numbers(0, 3));
      expect(levels(3000, 3100.5)).toEqual(numbers(3000, 3100));
      expect(levels(6990, 7010)).toEqual(numbers(6990, 7010));
      expect(levels(-9000, -1)).toEqual([]);
      expect(levels(8000, 9000)).toEqual([]);
      expect([...store.readingsWithin(always)]).toHaveLength(8000);
    });

    it("may be appended and derived from while they are being read", () => {
      for (let i = 0; i < 5000; i++) store.append(levelAt(noon_s + i, i));
      let seen = 0;
      for (const reading of store.readings()) {
        if (reading.level_m === 100) store.saveCycle(cycleAt(noon_s));
        if (reading.level_m === 200) store.append(levelAt(noon_s + 5000, 5000));
        seen++;
      }
      expect(seen).toBe(5001);
    });

    it("without a time are a caller's mistake that is named", () => {
      expect(() => store.append(silentReading)).toThrow("time_s is NaN");
    });
  });

  it("is empty at first", () => {
    expect(store.span()).toBeNull();
    expect(store.readingCount()).toBe(0);
    expect(store.checkpoint()).toBeNull();
    expect(store.level(always, 100).time_s).toEqual([]);
    expect([...store.cycles(always, 9), ...store.findings(always, 9), ...store.inflow(always, 9)]).toEqual([]);
    expect(store.health()).toEqual({ state: "writing", held: 0, lost: 0, error: null, since_s: null });
  });

  it("knows the span of its record, also when the clock stepped back", () => {
    for (const time_s of [noon_s, noon_s + 4000.5, noon_s - 90_000]) store.append(levelAt(time_s, 0.2));
    const span = { from_s: noon_s - 90_000, to_s: noon_s + 4000.5 };
    expect(store.span()).toEqual(span);
    reopen();
    expect(store.span()).toEqual(span);
  });

  describe("level", () => {
    it("gives each reading while they are few", () => {
      store.append(levelAt(noon_s, 0.2));
      store.append({ ...silentReading, time_s: noon_s + 1, pumpOn: true });
      store.flush();
      store.append(levelAt(noon_s + 2, 0.3)); // waits
      expect(store.level(always, 100)).toEqual({
        bucket_s: 0,
        time_s: [noon_s, noon_s + 2],
        minimum_m: [0.2, 0.3],
        maximum_m: [0.2, 0.3],
        mean_m: [0.2, 0.3],
      });
    });

    // 1 reading a second for 5 hours, a saw tooth; in every bucket the figures must be those of its readings.
    const saw = Array.from({ length: 18_000 }, (_, i) => levelAt(noon_s + i, (i % 97) / 100));

    it.each([
      { name: "an hour in 1000 points", from: 1000, to: 4600, points: 1000 },
      { name: "an hour in 70 points", from: 1000, to: 4600, points: 70 },
      { name: "the whole record in 40 points", from: 0, to: 17_999, points: 40 },
      { name: "the whole record in 4 points", from: 0, to: 17_999, points: 4 },
    ])("sums up $name, with what still waits", ({ from, to, points }) => {
      for (const reading of saw.slice(0, 12_345)) store.append(reading);
      store.flush();
      for (const reading of saw.slice(12_345)) store.append(reading);

      const series = store.level({ from_s: noon_s + from, to_s: noon_s + to }, points);
      expectFiguresOf(saw, series, points);
    });

    it("shows both records of an hour that a clock, stepping back, made twice", () => {
      for (let i = 0; i < 7200; i++) store.append(levelAt(noon_s + i, 0.2));
      for (let i = 0; i < 3600; i++) store.append(levelAt(noon_s + 1800 + i, 0.4));
      const { time_s, bucket_s, minimum_m, maximum_m, mean_m } = store.level(always, 130);
      expect(time_s).toHaveLength(120);
      for (const [i, start_s] of time_s.entries()) {
        const twice = start_s >= noon_s + 1800 && start_s + bucket_s <= noon_s + 5400;
        expect([minimum_m[i], maximum_m[i]]).toEqual(twice ? [0.2, 0.4] : [0.2, 0.2]);
        expect(mean_m[i]).toBeCloseTo(twice ? 0.3 : 0.2, 10);
      }
      const fine = store.level({ from_s: noon_s + 2000, to_s: noon_s + 2004 }, 20);
      expect(fine.mean_m.toSorted()).toEqual([0.2, 0.2, 0.2, 0.2, 0.2, 0.4, 0.4, 0.4, 0.4, 0.4]);
    });
  });

  describe("cycles", () => {
    it("come back as they were saved, newest first, and stay", () => {
      const bare = { ...cycleAt(noon_s + 500), rest_s: null, inflow: null, pumpRate: null, drainBack_m3: null };
      store.saveCycle(cycleAt(noon_s));
      store.saveCycle(bare);
      reopen();
      expect(store.cycles(always, 10)).toStrictEqual([bare, cycleAt(noon_s)]);
      expect(store.cycles(always, 1)).toStrictEqual([bare]);
    });

    it("replace one of the same start", () => {
      store.saveCycle({ ...cycleAt(noon_s), drainBack_m3: null });
      store.saveCycle(cycleAt(noon_s));
      expect(store.cycles(always, 10)).toStrictEqual([cycleAt(noon_s)]);
    });

    it("with a figure that is no number are a caller's mistake that is named", () => {
      expect(() => store.saveCycle({ ...cycleAt(noon_s), run_s: Number.NaN })).toThrow("run_s is NaN");
    });
  });

  describe("findings", () => {
    it("come back as they were saved, newest first, and replace one of the same kind and beginning", () => {
      store.saveFinding(finding("high-water", noon_s, null));
      store.saveFinding(finding("power-lost", noon_s, null));
      store.saveFinding(finding("high-water", noon_s, noon_s + 60));
      store.saveFinding(finding("high-water", noon_s + 100, null));
      reopen();
      expect(store.findings(always, 10)).toStrictEqual([
        finding("high-water", noon_s + 100, null),
        finding("high-water", noon_s, noon_s + 60),
        finding("power-lost", noon_s, null),
      ]);
    });
  });

  it("gives stretches of inflow oldest first, replaced by beginning, thinned to about the points asked for", () => {
    for (let i = 0; i < 300; i++) store.saveInflow(stretch(noon_s + i * 60, noon_s + i * 60 + 60, 1e-4));
    store.saveInflow(stretch(noon_s, noon_s + 60, 2e-4));
    const span = { from_s: noon_s + 30, to_s: noon_s + 130 };
    expect(store.inflow(span, 10).map((s) => s.inflow_m3s)).toEqual([2e-4, 1e-4, 1e-4]);
    const thinned = store.inflow({ from_s: noon_s, to_s: noon_s + 18_000 }, 20);
    expect(thinned.length).toBeGreaterThan(10);
    expect(thinned.length).toBeLessThanOrEqual(21);
    expect(thinned.at(-1)?.to_s).toBe(noon_s + 18_000);
  });

  it("keeps the newest checkpoint, typed arrays and all, as it was when it was saved", () => {
    const state = {
      levels: Float64Array.of(0.1, Number.NaN),
      seen: new Map([["a", 1]]),
      peak_m3s: Number.NEGATIVE_INFINITY,
    };
    store.saveCheckpoint({ state: "older", readingsSeen: 1 });
    store.saveCheckpoint({ state, readingsSeen: 2 });
    state.levels[0] = 99;
    reopen();
    expect(store.checkpoint()).toStrictEqual({
      state: { ...state, levels: Float64Array.of(0.1, Number.NaN) },
      readingsSeen: 2,
    });
  });

  describe("rebuild", () => {
    /** A toy analysis: a cycle whenever the level falls, inflow whenever it rises, a finding when it is high. */
    const toyAnalysis = () => {
      let before: Reading | undefined;
      return (reading: Reading) => {
        const level_m = reading.level_m ?? 0;
        const rise_m = level_m - (before?.level_m ?? level_m);
        if (rise_m < 0) store.saveCycle(cycleAt(reading.time_s));
        if (before !== undefined && rise_m > 0) store.saveInflow(stretch(before.time_s, reading.time_s, rise_m));
        if (level_m > 0.9) store.saveFinding(finding("high-water", reading.time_s, null));
        before = reading;
      };
    };
    const rebuild = () => {
      store.rebuild(() => {
        const analyse = toyAnalysis();
        for (const reading of store.readings()) analyse(reading);
      });
    };
    const everything = () => ({
      cycles: store.cycles(always, 1e6),
      findings: store.findings(always, 1e6),
      inflow: store.inflow(always, 1e6),
      minutes: store.level(always, 100),
      hours: store.level(always, 5),
    });

    it("gives the identical result as the readings did when they came, however they came", () => {
      const steps = fc.tuple(
        fc.double({ min: 0.1, max: 400, noNaN: true }),
        fc.double({ min: 0, max: 1, noNaN: true }),
      );
      const analyse = toyAnalysis();
      let time_s = noon_s;
      fc.assert(
        fc.property(fc.array(steps, { minLength: 1, maxLength: 60 }), fc.boolean(), (some, restart) => {
          for (const [step_s, level_m] of some) {
            time_s += step_s;
            analyse(levelAt(time_s, level_m));
            store.append(levelAt(time_s, level_m));
          }
          if (restart) reopen();
          const live = everything();
          rebuild();
          expect(everything()).toStrictEqual(live);
        }),
        { numRuns: 15 },
      );
    });

    it("empties what is not filled again", () => {
      store.append(levelAt(noon_s, 0.2));
      store.saveCycle(cycleAt(noon_s));
      store.saveFinding(finding("high-water", noon_s, null));
      store.saveInflow(stretch(noon_s, noon_s + 60, 1e-4));
      store.saveCheckpoint({ state: 1, readingsSeen: 1 });
      store.rebuild(() => {});
      expect(store.readingCount()).toBe(1);
      expect(store.checkpoint()).toBeNull();
      expect([...store.cycles(always, 9), ...store.findings(always, 9), ...store.inflow(always, 9)]).toEqual([]);
    });

    it("leaves the old when it fails in the middle", () => {
      for (let i = 0; i < 500; i++) store.append(levelAt(noon_s + i, (i % 7) / 10));
      rebuild();
      store.saveCheckpoint({ state: "old", readingsSeen: 500 });
      const before = everything();
      const fail = () => {
        store.saveCycle(cycleAt(1));
        throw new RangeError("in the middle");
      };
      expect(() => store.rebuild(fail)).toThrow("in the middle");
      expect(everything()).toStrictEqual(before);
      expect(store.checkpoint()).toEqual({ state: "old", readingsSeen: 500 });
    });
  });

  it("belongs to one daemon at a time, and says whose it is", () => {
    expect(() => openStore()).toThrow(`is in use by another undercroft (process ${process.pid})`);
    store.append(levelAt(noon_s, 0.2)); // the refusal has not touched the first
    reopen();
    expect(store.readingCount()).toBe(1);
  });

  it("may be closed twice, and takes nothing after it", () => {
    store.close();
    store.close();
    expect(() => store.append(levelAt(noon_s, 0.2))).toThrow("closed");
  });
});
