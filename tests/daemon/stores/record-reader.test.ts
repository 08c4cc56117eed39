import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { DatabaseSync } from "node:sqlite";
import { describe, expect, it, onTestFinished } from "vitest";
import { silentReading } from "../../../analysis/readings/reading.ts";
import { buildServer } from "../../../daemon/server/build-server.ts";
import { type ReadableStore, type RecordReader, recordReader } from "../../../daemon/stores/record-reader.ts";
import { openSqliteStore } from "../../../daemon/stores/sqlite-store.ts";
import { testParts } from "../server/parts.ts";

const always = { from_s: 0, to_s: 1e12 };
const routes = ["/api/level", "/api/cycles", "/api/findings", "/api/inflow", "/api/sizing", "/api/rain"];

async function ask(url: string, record: RecordReader) {
  const server = buildServer(testParts({ record }));
  const answer = await server.inject({ url, headers: { host: "localhost:8047" } });
  await server.close();
  return { status: answer.statusCode, error: answer.json().error };
}

/** A store of which every answer fails so. */
function failing(error: Error): RecordReader {
  const fail = () => {
    throw error;
  };
  const names = ["span", "level", "cycles", "inflow", "findings", "readingsWithin", "readings", "readingCount"];
  return recordReader(Object.fromEntries(names.map((name) => [name, fail])) as unknown as ReadableStore);
}

function storeOf(count: number) {
  const folder = mkdtempSync(join(tmpdir(), "undercroft-reader-"));
  onTestFinished(() => rmSync(folder, { recursive: true }));
  const path = join(folder, "store.db");
  const store = openSqliteStore(path);
  for (let n = 0; n < count; n++) store.append({ ...silentReading, time_s: n, level_m: n / 1000 });
  return { path, store };
}

describe("a record that cannot be read", () => {
  const locked = Object.assign(new Error("database is locked"), { errcode: 5 });

  it.each(routes)("is said at %s with status 503, in one sentence", async (url) => {
    expect(await ask(url, failing(locked))).toEqual({
      status: 503,
      error:
        "the record cannot be read now: another program has locked the file (SQLite: database is locked); the watch goes on",
    });
  });

  it("says so while the daemon stops", async () => {
    const { store } = storeOf(10);
    store.saveCheckpoint({ state: {}, readingsSeen: 10 });
    const record = recordReader(store);
    store.close();
    expect(await ask("/api/cycles", record)).toEqual({
      status: 503,
      error: "the record is closed: the daemon is stopping; ask again when it runs",
    });
  });

  it("says which part is damaged, and what looks through the rest", async () => {
    const { path, store } = storeOf(5000);
    store.saveCheckpoint({ state: {}, readingsSeen: 5000 });
    store.close();
    const again = openSqliteStore(path);
    onTestFinished(() => again.close());
    const other = new DatabaseSync(path);
    other.exec("UPDATE chunk SET body = substr(body, 1, 4)");
    other.close();
    const { status, error } = await ask("/api/level", recordReader(again));
    expect(status).toBe(503);
    expect(error).toMatch(/^a part of the record cannot be read: .*; undercroft store check says how much of it/);
  });

  it("leaves a fault of the program what it is", async () => {
    expect(await ask("/api/level", failing(new TypeError("x is not a function")))).toMatchObject({ status: 500 });
  });
});

describe("readings of a record", () => {
  it.each([0, 9999, 10_000, 10_001, 25_000])("come in batches, all %d of them", async (count) => {
    const { store } = storeOf(count);
    onTestFinished(() => store.close());
    const batches: number[] = [];
    for await (const some of recordReader(store).readings(always)) batches.push(some.length);
    expect(batches.reduce((sum, size) => sum + size, 0)).toBe(count);
    expect(Math.max(0, ...batches)).toBeLessThanOrEqual(10_000);
  });
});
