import { afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import { simulated } from "../../../daemon/sources/simulated.ts";
import type { SourceContext, SourceReading } from "../../../daemon/sources/source.ts";
import { demoSite } from "./simulated/demo-site.ts";

const now_s = Date.parse("2026-03-02T20:00:00.250Z") / 1000;

beforeEach(() => {
  vi.useFakeTimers({ now: now_s * 1000 });
});
afterEach(() => {
  vi.useRealTimers();
});

async function open(keys: Record<string, unknown> = {}, change: Partial<SourceContext> = {}) {
  const readings: SourceReading[] = [];
  const context: SourceContext = {
    now_s: () => Date.now() / 1000,
    emit: (reading) => readings.push(reading),
    reject: vi.fn(),
    fail: vi.fn(),
    finished: vi.fn(),
    site: demoSite,
    baseFolder: "/",
    ...change,
  };
  const source = await simulated.open(simulated.config.parse({ kind: "simulated", name: "demo", ...keys }), context);
  return { source, readings };
}

describe("the simulated source", () => {
  it("says that its readings are invented", () => {
    expect(simulated.invented).toBe(true);
  });

  it("begins at the present and plays a minute in a second", async () => {
    const { source, readings } = await open();
    await vi.advanceTimersByTimeAsync(10_000);
    expect(readings[0]?.time_s).toBe(Math.ceil(now_s));
    expect(readings.length).toBeGreaterThan(590);
    expect(readings.length).toBeLessThanOrEqual(601);
    await source.close();
  });

  it("comes to its end after what it is to play, and another speed does not wake it", async () => {
    const finished = vi.fn();
    const { source, readings } = await open({ play_for: "5 min", speed: 60 }, { finished });
    await vi.advanceTimersByTimeAsync(20_000);
    expect(readings).toHaveLength(301); // 0 to 300 s
    source.speed?.set(100);
    await vi.advanceTimersByTimeAsync(20_000);
    expect(readings).toHaveLength(301);
    expect(finished).toHaveBeenCalledTimes(1);
    await source.close();
  });

  it("shows its first whole cycle, a rest and a run, within ten seconds", async () => {
    const { source, readings } = await open();
    await vi.advanceTimersByTimeAsync(9_500);
    const turns = readings.filter((reading, i) => i > 0 && reading.pumpOn !== readings[i - 1]?.pumpOn);
    expect(turns.length).toBeGreaterThanOrEqual(4); // on, off, and after a whole rest on and off again
    await source.close();
  });

  it("takes one reading a second at the speed of life", async () => {
    const { source, readings } = await open({ speed: 1 });
    await vi.advanceTimersByTimeAsync(60_000);
    expect(readings.length).toBeGreaterThanOrEqual(59);
    expect(readings.length).toBeLessThanOrEqual(61);
    await source.close();
  });

  it("changes its speed while it plays, without a jump", async () => {
    const { source, readings } = await open({ speed: 10 });
    await vi.advanceTimersByTimeAsync(1000);
    const before = readings.length;
    source.speed?.set(10_000);
    expect(source.speed?.get()).toBe(10_000);
    await vi.advanceTimersByTimeAsync(1000);
    expect(readings.length - before).toBeGreaterThan(9_700);
    expect(readings.length - before).toBeLessThan(10_100);
    for (const [i, reading] of readings.entries()) expect(reading.time_s).toBe(Math.ceil(now_s) + i);
    await source.close();
  });

  it("refuses a speed that it cannot play", async () => {
    const { source } = await open();
    expect(() => source.speed?.set(0.5)).toThrow('simulated "demo": the speed is 0.5; expected 1 to 10000');
    expect(() => source.speed?.set(Number.NaN)).toThrow("expected 1 to 10000");
    expect(simulated.config.safeParse({ kind: "simulated", name: "demo", speed: 20_000 }).success).toBe(false);
    await source.close();
  });

  it("carries on where the record ends, not at a present that lies before it", async () => {
    const last_s = Math.ceil(now_s) + 86_400;
    const { source, readings } = await open({}, { lastReading_s: last_s });
    await vi.advanceTimersByTimeAsync(1000);
    expect(readings[0]?.time_s).toBe(last_s + 1);
    await source.close();
  });

  it("begins at the present when the record ended before it", async () => {
    const { source, readings } = await open({}, { lastReading_s: now_s - 86_400 });
    await vi.advanceTimersByTimeAsync(100);
    expect(readings[0]?.time_s).toBe(Math.ceil(now_s));
    await source.close();
  });

  it("begins when the site file says", async () => {
    const { source, readings } = await open({ start_time: "2026-01-05T12:00:00+01:00" });
    await vi.advanceTimersByTimeAsync(1000);
    expect(readings[0]?.time_s).toBe(Date.parse("2026-01-05T11:00:00Z") / 1000);
    await source.close();
  });

  it("takes a reading as often as it is told", async () => {
    const { source, readings } = await open({ sample_period: "5 s" });
    await vi.advanceTimersByTimeAsync(1000);
    expect((readings[1]?.time_s ?? 0) - (readings[0]?.time_s ?? 0)).toBe(5);
    await source.close();
  });

  it("lets time go that it could not keep up with, rather than run after it", async () => {
    let clock_s = now_s;
    const { source, readings } = await open({ speed: 100 }, { now_s: () => clock_s });
    clock_s += 3600; // the machine slept
    vi.spyOn(performance, "now").mockImplementation(() => (readings.length > 50 ? 1e9 + readings.length * 100 : 0));
    await vi.advanceTimersByTimeAsync(0);
    const asleep = readings.length;
    vi.restoreAllMocks();
    clock_s += 1;
    await vi.advanceTimersByTimeAsync(100);
    expect(readings.length - asleep).toBeLessThan(110);
    expect(readings.length - asleep).toBeGreaterThan(90);
    await source.close();
  });

  it("is silent once closed", async () => {
    const { source, readings } = await open();
    await vi.advanceTimersByTimeAsync(1000);
    await source.close();
    const before = readings.length;
    await vi.advanceTimersByTimeAsync(5000);
    expect(readings.length).toBe(before);
    expect(vi.getTimerCount()).toBe(0);
  });
});
