import { describe, expect, it } from "vitest";
import { rainCollector } from "../../../analysis/storms/rain.ts";

const total = (stretches: readonly { rain_m: number }[] | null) =>
  (stretches ?? []).reduce((sum, { rain_m }) => sum + rain_m, 0);

describe("rainCollector", () => {
  it("keeps a year at one reading a second in some thousands of stretches, and loses no rain", () => {
    const collector = rainCollector();
    let fallen_m = 0;
    // A shower of 25 minutes every two days; seconds of dry weather are stepped over by the minute to be quick.
    for (let day = 0; day < 365; day += 1) {
      for (let minute = 0; minute < 1440; minute += 1) {
        const wet = day % 2 === 0 && minute >= 600 && minute < 625;
        if (!wet) collector.push({ time_s: day * 86_400 + minute * 60, rain_m: 0 });
        for (let second = 0; wet && second < 60; second += 1) {
          const rain_m = second % 20 === 0 ? 0.0002 : 0;
          fallen_m += rain_m;
          collector.push({ time_s: day * 86_400 + minute * 60 + second, rain_m });
        }
      }
    }
    const stretches = collector.stretches();
    expect(total(stretches)).toBeCloseTo(fallen_m, 9);
    expect(stretches?.length).toBeLessThan(183 * 10);
  });

  it("knows of no rain where no reading ever spoke of it", () => {
    const collector = rainCollector();
    for (let i = 0; i < 10; i += 1) collector.push({ time_s: i, rain_m: null });
    expect(collector.stretches()).toBeNull();
  });

  it("leaves a gap in the readings a gap, and does not say that it was dry", () => {
    const collector = rainCollector();
    for (const time_s of [0, 60, 120, 50_000, 50_060]) collector.push({ time_s, rain_m: 0 });
    expect(collector.stretches()).toEqual([
      { from_s: 0, to_s: 120, rain_m: 0 },
      { from_s: 50_000, to_s: 50_060, rain_m: 0 },
    ]);
  });

  it("keeps what a gauge counted while nobody looked, for a day", () => {
    const collector = rainCollector();
    for (const [time_s, rain_m] of [
      [0, 0],
      [7200, 0.004],
      [200_000, 0.009],
    ] as const) {
      collector.push({ time_s, rain_m });
    }
    expect(collector.stretches()).toEqual([{ from_s: 0, to_s: 7200, rain_m: 0.004 }]);
  });

  it("takes silence of a gauge that only speaks of rain for dry, for two days", () => {
    const collector = rainCollector();
    collector.push({ time_s: 0, rain_m: 0.001 });
    for (let time_s = 600; time_s <= 4 * 86_400; time_s += 600) collector.push({ time_s, rain_m: null });
    const last = collector.stretches()?.at(-1);
    expect([last?.rain_m, last?.to_s]).toEqual([0, 2 * 86_400]);
  });

  it("takes what an hourly gauge says among rows of seconds for the hour's, and what a gauge says each 5 min for those", () => {
    const hourly = rainCollector();
    const often = rainCollector();
    for (let time_s = 0; time_s <= 3 * 3600; time_s += 10) {
      hourly.push({ time_s, rain_m: time_s % 3600 === 0 ? 0.003 : null });
      often.push({ time_s, rain_m: time_s % 300 === 0 ? (time_s === 3600 ? 0.002 : 0) : null });
    }
    expect(hourly.stretches()).toEqual(
      [0, 1, 2].map((i) => ({ from_s: i * 3600, to_s: (i + 1) * 3600, rain_m: 0.003 })),
    );
    expect(often.stretches()?.filter(({ rain_m }) => rain_m > 0)).toEqual([
      { from_s: 3300, to_s: 3600, rain_m: 0.002 },
    ]);
  });

  it("spreads a depth over the time since the row before", () => {
    const collector = rainCollector();
    for (const [time_s, rain_m] of [
      [0, 0],
      [900, 0.003],
      [1800, 0],
    ] as const) {
      collector.push({ time_s, rain_m });
    }
    expect(collector.stretches()?.[0]).toEqual({ from_s: 0, to_s: 900, rain_m: 0.003 });
  });

  it("carries on from a snapshot as if it had never stopped, and leaves out what cannot be", () => {
    const rows = Array.from({ length: 400 }, (_, i) => ({ time_s: i * 30, rain_m: i % 7 === 0 ? 0.0002 : 0 }));
    const whole = rainCollector();
    for (const row of rows) whole.push(row);
    const first = rainCollector();
    for (const row of rows.slice(0, 200)) first.push(row);
    const second = rainCollector(structuredClone(first.snapshot()));
    for (const row of rows.slice(200)) second.push(row);
    expect(second.stretches()).toEqual(whole.stretches());
    second.push({ time_s: 5, rain_m: 0.001 });
    second.push({ time_s: 12_000, rain_m: -1 });
    second.push({ time_s: 12_030, rain_m: 7 });
    expect(total(second.stretches())).toBeCloseTo(total(whole.stretches()), 12);
  });
});
