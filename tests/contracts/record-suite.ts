// What every record must answer, whatever it is kept in: the board's own file, or the database that many boards share.

import { afterAll, beforeAll, describe, expect, it } from "vitest";
import type { InflowStretch } from "../../analysis/analyzer.ts";
import type { Cycle } from "../../analysis/cycles/cycle.ts";
import type { Finding } from "../../analysis/findings/finding.ts";
import { type Reading, silentReading } from "../../analysis/readings/reading.ts";
import type { RecordReader } from "../../daemon/stores/record-reader.ts";
import type { LevelSeries, Span } from "../../daemon/stores/store.ts";

export interface Told {
  readonly readings?: readonly Reading[];
  readonly cycles?: readonly Cycle[];
  readonly findings?: readonly Finding[];
  readonly inflow?: readonly InflowStretch[];
}

export interface RecordUnderTest {
  readonly reader: RecordReader;
  /** In the order in which a daemon saves it; there when it returns. */
  tell(told: Told): Promise<void>;
}

export interface RecordKind {
  /** Before all tests, and after them. */
  begin?(): Promise<void>;
  end?(): Promise<void>;
  /** An empty one. */
  open(): Promise<RecordUnderTest>;
}

export const always: Span = { from_s: Number.NEGATIVE_INFINITY, to_s: Number.POSITIVE_INFINITY };

/** A Monday noon, on the minute but not on the hour. */
export const noon_s = 1_767_614_400 + 60 * 7;

export const levelAt = (time_s: number, level_m: number): Reading => ({ ...silentReading, time_s, level_m });

export const cycleAt = (startedAt_s: number): Cycle => ({
  startedAt_s,
  stoppedAt_s: startedAt_s + 18.25,
  run_s: 18.25,
  rest_s: 431,
  startLevel_m: 0.3551,
  stopLevel_m: 0.1526,
  inflow: { flow_m3s: 7.1e-5, uFlow_m3s: 4e-7, degreesOfFreedom: Number.POSITIVE_INFINITY, method: "fill-slope" },
  pumpRate: { flow_m3s: 1.53e-3, uFlow_m3s: 2e-5, degreesOfFreedom: 12.7, parts: { geometry: 1.5e-5, timing: 1e-6 } },
  drainBack_m3: 4e-4,
});

export const finding = (kind: Finding["kind"], from_s: number, to_s: number | null): Finding => ({
  kind,
  severity: "warning",
  from_s,
  to_s,
  evidence: { level_m: 0.51, cause: "drain-back", seen: true, start_s: null },
  message: 'Look at the check valve, "here", c:\\there, it\'s\nθ = 3.',
});

const stretch = (from_s: number, to_s: number, inflow_m3s: number): InflowStretch => ({
  from_s,
  to_s,
  inflow_m3s,
  uInflow_m3s: inflow_m3s / 100,
});

const seconds = (count: number, level: (i: number) => number) =>
  Array.from({ length: count }, (_, i) => levelAt(noon_s + i, level(i)));

export function recordSuite(name: string, kind: RecordKind): void {
  describe(name, () => {
    beforeAll(() => kind.begin?.(), 60_000);
    afterAll(() => kind.end?.());
    const recordOf = async (told: Told) => {
      const record = await kind.open();
      await record.tell(told);
      return record;
    };

    it("is empty at first", async () => {
      const { reader } = await kind.open();
      expect(await reader.span()).toBeNull();
      expect(await reader.rain()).toBeNull();
      expect((await reader.level(always, 100)).time_s).toEqual([]);
      expect(await reader.cycles(always, 9)).toEqual([]);
      expect(await reader.findings(always, 9)).toEqual([]);
      expect(await reader.inflow(always, 9)).toEqual([]);
      expect(await allOf(reader, always)).toEqual([]);
    });

    it("knows the span of its record, to the millisecond", async () => {
      const { reader } = await recordOf({ readings: [levelAt(noon_s + 0.125, 0.2), levelAt(noon_s + 4000.501, 0.2)] });
      expect(await reader.span()).toEqual({ from_s: noon_s + 0.125, to_s: noon_s + 4000.501 });
    });

    it("gives readings back bit for bit and in their order, also several of one instant", async () => {
      const readings: Reading[] = [
        levelAt(noon_s, 0.2),
        { ...silentReading, time_s: noon_s, pumpOn: true, floatOn: false },
        { ...silentReading, time_s: noon_s },
        levelAt(noon_s, 1 / 3),
        { ...levelAt(noon_s + 0.001, 0.29845), pumpCurrent_a: 6.7, pumpPower_w: -0.5, temperature_c: 11.25 },
        { ...silentReading, time_s: noon_s + 1 / 3, rain_m: 2e-4, mainsOn: true, highFloat: false, pump2On: false },
        { ...silentReading, time_s: noon_s + 2, float2On: true, rain_m: 0, level_m: 0 },
      ];
      const { reader } = await recordOf({ readings });
      expect(await allOf(reader, always)).toStrictEqual(readings);
      expect(await allOf(reader, { from_s: noon_s + 0.001, to_s: noon_s + 1 })).toStrictEqual(readings.slice(4, 6));
    });

    it("gives the readings of a span out of many, each once", async () => {
      const { reader } = await recordOf({ readings: seconds(30_000, (i) => (i % 97) / 100) });
      const some = await allOf(reader, { from_s: noon_s + 100, to_s: noon_s + 25_100 });
      expect(some.map(({ time_s }) => time_s)).toEqual(Array.from({ length: 25_001 }, (_, i) => noon_s + 100 + i));
    });

    describe("level", () => {
      it("gives each reading while they are few, and leaves out what is outside the span", async () => {
        const { reader } = await recordOf({
          readings: [
            levelAt(noon_s, 0.2),
            { ...silentReading, time_s: noon_s + 1, pumpOn: true },
            levelAt(noon_s + 2, 0.3),
          ],
        });
        const both = { minimum_m: [0.2, 0.3], maximum_m: [0.2, 0.3], mean_m: [0.2, 0.3] };
        expect(await reader.level(always, 100)).toEqual({ bucket_s: 0, time_s: [noon_s, noon_s + 2], ...both });
        expect((await reader.level({ from_s: noon_s + 1, to_s: noon_s + 2 }, 100)).mean_m).toEqual([0.3]);
        expect((await reader.level({ from_s: noon_s + 30, to_s: noon_s + 50 }, 100)).mean_m).toEqual([]);
        expect((await reader.level({ from_s: noon_s - 50, to_s: noon_s - 30 }, 100)).mean_m).toEqual([]);
      });

      // 1 reading a second for 5 hours, a saw tooth; in every bucket the figures must be those of its readings.
      const saw = seconds(18_000, (i) => (i % 97) / 100);
      it.each([
        { name: "an hour in 1000 points", from: 1000, to: 4600, points: 1000 },
        { name: "an hour in 70 points", from: 1000, to: 4600, points: 70 },
        { name: "the whole record in 40 points", from: 0, to: 17_999, points: 40 },
        { name: "the whole record in 4 points", from: 0, to: 17_999, points: 4 },
      ])("sums up $name", async ({ from, to, points }) => {
        const { reader } = await recordOf({ readings: saw });
        const series = await reader.level({ from_s: noon_s + from, to_s: noon_s + to }, points);
        expectFiguresOf(saw, series, points);
      });

      it("gives as many points as are asked for, where those are very many", async () => {
        const { reader } = await recordOf({ readings: seconds(45_000, (i) => (i % 97) / 100) });
        const { time_s, bucket_s } = await reader.level(always, 15_100);
        expect([bucket_s, time_s.length]).toEqual([3, 15_000]);
        expect(time_s).toEqual(Array.from({ length: 15_000 }, (_, i) => noon_s + i * 3));
      });

      it("leaves out a bucket without a reading: a gap stays a gap", async () => {
        const later = seconds(3600, () => 0.4).map((one) => ({ ...one, time_s: one.time_s + 86_400 }));
        const { reader } = await recordOf({ readings: [...seconds(3600, () => 0.2), ...later] });
        const { time_s, bucket_s } = await reader.level(always, 200);
        expect(time_s.length).toBeGreaterThan(10);
        expect(time_s.filter((t) => t > noon_s + 3600 && t + bucket_s < noon_s + 86_400)).toEqual([]);
      });

      it("sums up a sensor that is exchanged for a finer one, and one that stands on no grid", async () => {
        const levels = (i: number) =>
          i < 6000 ? (i % 7) * 0.005 : i < 12_000 ? (i % 701) / 10_000 : (0.07 * (i % 11)) / 3;
        const readings = seconds(18_000, levels);
        const { reader } = await recordOf({ readings });
        for (const points of [3000, 150, 20]) {
          const series = await reader.level(always, points);
          for (const [i, start_s] of series.time_s.entries()) {
            const some = readings.slice(Math.max(0, start_s - noon_s), start_s - noon_s + series.bucket_s);
            const lowest = Math.min(...some.map(({ level_m }) => level_m ?? Number.NaN));
            const highest = Math.max(...some.map(({ level_m }) => level_m ?? Number.NaN));
            expect(series.minimum_m[i]).toBeCloseTo(lowest, 9);
            expect(series.maximum_m[i]).toBeCloseTo(highest, 9);
          }
        }
      });
    });

    describe("cycles", () => {
      it("come back as they were saved, newest first, and replaced by one of the same start", async () => {
        const bare = { ...cycleAt(noon_s + 500), rest_s: null, inflow: null, pumpRate: null, drainBack_m3: null };
        const record = await recordOf({
          readings: [levelAt(noon_s, 0.2)],
          cycles: [cycleAt(noon_s), cycleAt(noon_s + 500)],
        });
        await record.tell({ cycles: [bare] });
        expect(await record.reader.cycles(always, 10)).toStrictEqual([bare, cycleAt(noon_s)]);
        expect(await record.reader.cycles(always, 1)).toStrictEqual([bare]);
      });

      it("belong to a span that their run touches", async () => {
        const { reader } = await recordOf({ cycles: [cycleAt(noon_s)] }); // runs to noon + 18.25 s
        expect(await reader.cycles({ from_s: noon_s + 18, to_s: noon_s + 60 }, 10)).toHaveLength(1);
        expect(await reader.cycles({ from_s: noon_s + 19, to_s: noon_s + 60 }, 10)).toHaveLength(0);
        expect(await reader.cycles({ from_s: noon_s - 60, to_s: noon_s - 1 }, 10)).toHaveLength(0);
        expect(await reader.cycles({ from_s: noon_s, to_s: noon_s }, 10)).toHaveLength(1);
      });

      it("keep which of two pumps ran, and what the motor drew", async () => {
        const pumps = { pump1_s: 18.25, pump2_s: 6.5, both_s: 6.5, rateOf: "both" } as const;
        const drawn = {
          runningCurrent: { mean: 6.7, standardDeviation: 0.05 },
          runningPower: { mean: 563, standardDeviation: null },
        };
        const told = [
          { ...cycleAt(noon_s + 900), ...drawn },
          { ...cycleAt(noon_s + 600), pumps: { ...pumps, rateOf: null } },
          { ...cycleAt(noon_s + 300), pumps: { ...pumps, rateOf: 2 } as const },
          { ...cycleAt(noon_s), pumps, ...drawn },
        ];
        const { reader } = await recordOf({ cycles: told });
        expect(await reader.cycles(always, 10)).toStrictEqual(told);
      });

      it("are all there, of thousands, and the newest of them where fewer are asked for", async () => {
        const { reader } = await recordOf({
          cycles: Array.from({ length: 12_000 }, (_, i) => cycleAt(noon_s + i * 300)),
        });
        const all = await reader.cycles(always, Number.MAX_SAFE_INTEGER);
        expect(all.map((one) => one.startedAt_s)).toEqual(
          Array.from({ length: 12_000 }, (_, i) => noon_s + (11_999 - i) * 300),
        );
        expect(await reader.cycles(always, 500)).toEqual(all.slice(0, 500));
      });
    });

    describe("findings", () => {
      it("come back as they were saved, newest first, and end", async () => {
        const record = await recordOf({
          findings: [
            finding("high-water", noon_s, null),
            finding("power-lost", noon_s, null),
            finding("high-water", noon_s + 100, null),
          ],
        });
        await record.tell({ findings: [finding("high-water", noon_s, noon_s + 60)] });
        expect(await record.reader.findings(always, 10)).toStrictEqual([
          finding("high-water", noon_s + 100, null),
          finding("high-water", noon_s, noon_s + 60),
          finding("power-lost", noon_s, null),
        ]);
        expect(await record.reader.findings(always, 1)).toHaveLength(1);
      });

      it("belong to every span after their beginning while they last", async () => {
        const { reader } = await recordOf({
          findings: [finding("high-water", noon_s, noon_s + 60), finding("power-lost", noon_s, null)],
        });
        const kindsIn = async (from: number, to: number) =>
          (await reader.findings({ from_s: noon_s + from, to_s: noon_s + to }, 10)).map(({ kind }) => kind);
        expect(await kindsIn(1000, 2000)).toEqual(["power-lost"]);
        expect(await kindsIn(60, 2000)).toEqual(["high-water", "power-lost"]);
        expect(await kindsIn(-100, -1)).toEqual([]);
      });
    });

    it("gives stretches of inflow oldest first, replaced by beginning, thinned to about the points asked for", async () => {
      const record = await recordOf({
        readings: seconds(18_000, () => 0.2),
        inflow: Array.from({ length: 300 }, (_, i) => stretch(noon_s + i * 60, noon_s + i * 60 + 60, 1e-4)),
      });
      await record.tell({ inflow: [stretch(noon_s, noon_s + 60, 2e-4)] });
      const span = { from_s: noon_s + 30, to_s: noon_s + 130 };
      expect((await record.reader.inflow(span, 10)).map((s) => s.inflow_m3s)).toEqual([2e-4, 1e-4, 1e-4]);
      const thinned = await record.reader.inflow({ from_s: noon_s, to_s: noon_s + 18_000 }, 20);
      expect(thinned.length).toBeGreaterThan(10);
      expect(thinned.length).toBeLessThanOrEqual(21);
      expect(thinned.at(-1)?.to_s).toBe(noon_s + 18_000);
    });

    it("gives the rain that fell, and when it was dry", async () => {
      const readings = Array.from({ length: 241 }, (_, minute) => ({
        ...levelAt(noon_s + 60 * minute, 0.2),
        rain_m: minute > 60 && minute <= 120 ? 0.0002 : 0,
      }));
      const { reader } = await recordOf({ readings });
      const stretches = (await reader.rain()) ?? [];
      expect(stretches.reduce((sum, { rain_m }) => sum + rain_m, 0)).toBeCloseTo(60 * 0.0002, 9);
      expect(stretches.at(-1)?.rain_m).toBe(0);
      const wet = stretches.filter(({ rain_m }) => rain_m > 0);
      expect(Math.abs((wet[0]?.from_s ?? 0) - noon_s - 3600)).toBeLessThanOrEqual(600);
      expect(Math.abs((wet.at(-1)?.to_s ?? 0) - noon_s - 7200)).toBeLessThanOrEqual(600);
    });
  });
}

/** In every bucket the figures are those of its readings. */
export function expectFiguresOf(readings: readonly Reading[], series: LevelSeries, points: number): void {
  expect(series.time_s.length).toBeLessThanOrEqual(points);
  expect(series.time_s.length).toBeGreaterThan(points / 4);
  for (const [i, start_s] of series.time_s.entries()) {
    if (i === 0 || i === series.time_s.length - 1) continue; // the span cuts the first and the last
    const levels = readings
      .filter((r) => r.time_s >= start_s && r.time_s < start_s + series.bucket_s)
      .map((r) => r.level_m ?? Number.NaN);
    expect(series.minimum_m[i]).toBe(Math.min(...levels));
    expect(series.maximum_m[i]).toBe(Math.max(...levels));
    expect(series.mean_m[i]).toBeCloseTo(levels.reduce((a, b) => a + b) / levels.length, 10);
  }
}

export async function allOf(reader: RecordReader, span: Span): Promise<Reading[]> {
  const all: Reading[] = [];
  for await (const some of reader.readings(span)) all.push(...some);
  return all;
}
