import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, describe, expect, it } from "vitest";
import type { Reading } from "../../../analysis/readings/reading.ts";
import { readRowsInThread } from "../../../daemon/recordings/read-in-thread.ts";
import { type RecordingOptions, readRecording } from "../../../daemon/recordings/read-recording.ts";
import { giveReadings } from "../../../daemon/recordings/row-table.ts";

const folder = mkdtempSync(join(tmpdir(), "read-in-thread-"));
afterAll(() => rmSync(folder, { recursive: true }));

/** 20 000 rows a second apart, with an unknown column, in the order that `at` says. */
function recording(name: string, at: (row: number) => number = (row) => row): string {
  const rows = Array.from({ length: 20_000 }, (_, row) => {
    const second = at(row);
    return `${1_767_225_600_000 + second * 1000},${(second % 300) + 0.5},${second % 2},x`;
  });
  const path = join(folder, name);
  writeFileSync(path, `time_ms,level_mm,pump_on,remark\n${rows.join("\n")}\n`);
  return path;
}

/** What is said on the way, in order, and the readings since the last restart. */
async function heard(path: string, how: "here" | "aside") {
  let readings: Reading[] = [];
  const said: string[] = [];
  const options: RecordingOptions = {
    onRestart: () => {
      readings = [];
      said.push("restart");
    },
    onUnknownColumn: (name) => said.push(name),
  };
  const result =
    how === "here"
      ? await readRecording(path, options, (reading) => readings.push(reading))
      : await readRowsInThread(path, options, (table, from, to) =>
          giveReadings(table, from, to, (reading) => readings.push(reading)),
        );
  return { readings, said, result };
}

describe("readRowsInThread", () => {
  it.each([
    ["in order", (row: number) => row],
    ["in wild disorder, to be given anew", (row: number) => (row * 7919) % 20_000],
  ])("gives what reading it here gives, %s", async (name, at) => {
    const path = recording(`${name}.csv`, at);
    expect(await heard(path, "aside")).toEqual(await heard(path, "here"));
  });

  it("writes over no rows that wait to be taken, however many more there are than may wait", async () => {
    const path = join(folder, "long.csv");
    const last = 300_000;
    const rows = Array.from({ length: last + 1 }, (_, row) => `${row * 1000},${row},${row % 2}`);
    writeFileSync(path, `time_ms,level_mm,pump_on\n${rows.join("\n")}\n`);
    let next = 0;
    await readRowsInThread(path, { onRestart() {} }, ({ time_ms, columns: [level_m, pumpOn] }, from, to) => {
      if (next < 100_000) Atomics.wait(new Int32Array(new SharedArrayBuffer(4)), 0, 0, 20); // the thread runs ahead
      for (let row = from; row < to; row += 1, next += 1)
        if (time_ms[row] !== next * 1000 || level_m?.[row] !== next / 1000 || pumpOn?.[row] !== next % 2)
          throw new Error(`row ${next}: found ${time_ms[row]} ms, ${level_m?.[row]} m, ${pumpOn?.[row]}`);
    });
    expect(next).toBe(last + 1);
  });

  it("says what is wrong with a recording", async () => {
    const { problems } = await readRowsInThread(join(folder, "nowhere.csv"), {}, () => {});
    expect(problems).toEqual([expect.stringContaining("no such file")]);
  });

  it("ends with what its taker throws", async () => {
    const full = readRowsInThread(recording("full.csv"), { onRestart() {} }, () => {
      throw new Error("no room");
    });
    await expect(full).rejects.toThrow("no room");
  });
});
