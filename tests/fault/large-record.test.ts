// After a power cut the watch is back at once, however large the record: what is read at the start does not grow with it.

import { existsSync, mkdtempSync, readFileSync, rmSync, statSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, expect, it } from "vitest";
import { type Month, playMonth } from "../bench/month/month.ts";
import { cutOffRecord, watchOver } from "./cut-off-record.ts";

let folder: string;
beforeEach(() => {
  // In memory where it can be: what is read counts, and no disk need be waited for.
  folder = mkdtempSync(join(existsSync("/dev/shm") ? "/dev/shm" : tmpdir(), "undercroft-large-"));
});
afterEach(() => rmSync(folder, { recursive: true }));

const recordedDays = 1;
/** One reading in so many seconds. */
const pace_s = 10;
const copies = 150;

/** What this process has read from files so far, by the kernel's count. */
function read_B(): number {
  return Number(/rchar: (\d+)/.exec(readFileSync("/proc/self/io", "utf8"))?.[1]);
}

function every({ time_ms, level_mm, pumpOn }: Month, step: number): Month {
  const at = (_: unknown, i: number) => i % step === 0;
  const times = time_ms.filter(at);
  return { rows: times.length, time_ms: times, level_mm: level_mm.filter(at), pumpOn: pumpOn.filter(at) };
}

it(`a start after a power cut reads as little of a record ${copies} times as long, and misses nothing`, () => {
  const month = every(playMonth(recordedDays + 0.25), pace_s);
  const [short, long] = [1, copies].map((times) => {
    const path = cutOffRecord(join(folder, String(times)), month, recordedDays, times);
    const before_B = read_B();
    const { store, watch } = watchOver(path);
    const started_B = read_B() - before_B;
    expect(watch.began.from).toBe("checkpoint");
    expect(watch.began.readings).toBeLessThan((4 * 3600) / pace_s + 60); // those since the last checkpoint
    expect(watch.newest_s()).toBe((month.time_ms.at(-1) ?? 0) / 1000);
    expect(store.readingCount()).toBe(((times - 1) * (recordedDays * 86_400)) / pace_s + month.rows);
    store.close();
    return { started_B, size_B: statSync(path).size };
  });
  expect((long?.size_B ?? 0) / (short?.size_B ?? 0)).toBeGreaterThan(20);
  expect((long?.started_B ?? 0) - (short?.started_B ?? 0)).toBeLessThan(200_000);
});
