import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { setTimeout as sleep } from "node:timers/promises";
import { gzipSync } from "node:zlib";
import { afterAll, afterEach, beforeAll, describe, expect, it } from "vitest";
import { replay } from "../../../daemon/sources/replay.ts";
import type { OpenSource, SourceContext } from "../../../daemon/sources/source.ts";
import { until } from "../../real/until.ts";
import { listeningContext } from "./listening-context.ts";

const start_ms = Date.UTC(2026, 2, 4);
let folder: string;
let opened: OpenSource | undefined;

beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), "undercroft-replay-"));
});
afterEach(() => opened?.close());
afterAll(() => rmSync(folder, { recursive: true, force: true }));

/** Rows at an even step: row n has level n mm. */
function recording(name: string, rows: number, step_ms = 1000): string {
  const lines = Array.from({ length: rows }, (_, n) => `${start_ms + n * step_ms},${n}`);
  const text = `time_ms,level_mm\n${lines.join("\n")}\n`;
  writeFileSync(join(folder, name), name.endsWith(".gz") ? gzipSync(text) : text);
  return name;
}

async function play(keys: Record<string, unknown>, overrides: Partial<SourceContext> = {}) {
  const { context, heard } = listeningContext({ baseFolder: folder, ...overrides });
  opened = await replay.open(replay.config.parse({ kind: "replay", name: "last week", ...keys }), context);
  return { heard, source: opened };
}

describe("replay", () => {
  it("gives every row with the recording's own time, and comes to its end", async () => {
    const { heard } = await play({ file: recording("even.csv.gz", 500), speed: 10_000 });
    await until("the end", () => heard.finished === 1);
    expect(heard.readings.map(({ time_s, level_m }) => [time_s, level_m])).toEqual(
      Array.from({ length: 500 }, (_, n) => [start_ms / 1000 + n, n / 1000]),
    );
    expect(heard.failures).toEqual([]);
  });

  it("plays no reading before its time, and all of it in the time that the speed says", async () => {
    const began_ms = performance.now();
    let early_s = Number.NEGATIVE_INFINITY;
    const { heard } = await play(
      { file: recording("paced.csv", 201), speed: 1000 },
      {
        emit: ({ time_s }) => {
          const passed_s = ((performance.now() - began_ms) / 1000) * 1000;
          early_s = Math.max(early_s, time_s - start_ms / 1000 - passed_s);
        },
      },
    );
    await until("the end", () => heard.finished === 1);
    expect(performance.now() - began_ms).toBeGreaterThanOrEqual(199);
    expect(early_s).toBeLessThanOrEqual(1);
  });

  it("goes faster at once when it is told to", async () => {
    const { heard, source } = await play({ file: recording("slow.csv", 100) });
    await until("the first reading", () => heard.readings.length === 1);
    await sleep(30);
    expect(heard.readings).toHaveLength(1);
    source.speed?.set(10_000);
    expect(source.speed?.get()).toBe(10_000);
    await until("the end", () => heard.finished === 1);
    expect(heard.readings).toHaveLength(100);
    expect(() => source.speed?.set(0)).toThrow("the speed is 0; expected 1 to 10000");
  });

  it("lets the rest of the process have its turn while it has far more to play than it can", async () => {
    const heardLater: number[] = [];
    const { heard } = await play(
      { file: recording("dense.csv", 40_000, 1), speed: 10_000 },
      { emit: (reading) => heardLater.push(reading.time_s) },
    );
    let turns = 0;
    let longest_ms = 0;
    // By the work done, so that what else the machine does is not counted.
    const worked_ms = () => process.threadCpuUsage().user / 1000;
    for (let last_ms = worked_ms(); heard.finished === 0; turns++) {
      await new Promise((resolve) => setImmediate(resolve));
      longest_ms = Math.max(longest_ms, worked_ms() - last_ms);
      last_ms = worked_ms();
    }
    expect(heardLater).toHaveLength(40_000);
    expect(turns).toBeGreaterThan(10);
    expect(longest_ms).toBeLessThan(150);
  });

  it("goes on after the newest reading on record", async () => {
    const lastReading_s = start_ms / 1000 + 6;
    const { heard } = await play({ file: recording("resumed.csv", 10), speed: 10_000 }, { lastReading_s });
    await until("the end", () => heard.finished === 1);
    expect(heard.readings.map(({ level_m }) => level_m)).toEqual([0.007, 0.008, 0.009]);
  });

  it("reads another logger's columns and local stamps", async () => {
    writeFileSync(join(folder, "logger.csv"), "stamp,depth\n2026-03-04 01:00:00,1.5\n");
    const { heard } = await play({
      file: "logger.csv",
      columns: { time: "stamp", level_ft: "depth" },
      timezone: "America/Toronto",
    });
    await until("the end", () => heard.finished === 1);
    expect(heard.readings[0]).toMatchObject({ time_s: Date.UTC(2026, 2, 4, 6) / 1000, level_m: 0.4572 });
  });

  it("fails with the first problem of a recording that cannot be read, and plays none of it", async () => {
    writeFileSync(join(folder, "bad.csv"), "time_ms,level_mm\n1772582400000,12\n1772582401000,abc\nnever,3\n");
    const { heard } = await play({ file: "bad.csv" });
    await until("the failure", () => heard.failures.length === 1);
    expect(heard.failures[0]?.message).toMatch(/bad\.csv:3: .*"abc".* \(and 1 more\)$/);
    expect(heard.readings).toEqual([]);
    const missing = await play({ file: "missing.csv" });
    await until("the failure", () => missing.heard.failures.length === 1);
    expect(missing.heard.failures[0]?.message).toMatch(/missing\.csv: no such file$/);
  });

  it("stops where it is when it is closed", async () => {
    const { heard, source } = await play({ file: recording("closed.csv", 100) });
    await until("the first reading", () => heard.readings.length === 1);
    await source.close();
    await sleep(20);
    expect([heard.readings.length, heard.finished, heard.failures.length]).toEqual([1, 0, 0]);
  });
});
