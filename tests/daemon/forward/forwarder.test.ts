import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { silentReading } from "../../../analysis/readings/reading.ts";
import { restoreRecord } from "../../../daemon/stores/sqlite/restore-record.ts";
import { backupRecord } from "../../../daemon/stores/sqlite/upkeep.ts";
import { openSqliteStore } from "../../../daemon/stores/sqlite-store.ts";
import { until } from "../../real/until.ts";
import { type BoardOptions, startBoard } from "./board.ts";
import { type FaultyDatabase, type Reply, startFaultyDatabase } from "./faulty-database.ts";

let folder: string;
let database: FaultyDatabase;
beforeEach(async () => {
  folder = mkdtempSync(join(tmpdir(), "undercroft-forwarder-"));
  database = await startFaultyDatabase();
});
afterEach(() => rmSync(folder, { recursive: true }));

const board = (options: Partial<BoardOptions> = {}) =>
  startBoard(folder, { config: { url: database.url }, ...options });
const readings = () => [...database.taken].filter((line) => line.startsWith("reading,")).length;
const refusal = (status: number, error: string): Reply => ({ status, body: JSON.stringify({ error }) });

/** Answers a number of writes so, and takes the ones after. */
function first(times: number, reply: Reply | null): void {
  let left = times;
  database.behave(() => (left-- > 0 ? reply : undefined));
}

describe("forwarding to a database that is in trouble", () => {
  it.each<[string, Reply | null]>([
    ["breaks off", null],
    ["is overloaded", refusal(503, "timeout")],
    ["has a fault of its own", refusal(500, "engine: cache-max-memory-size exceeded")],
    ["asks to be left alone", { status: 429, headers: { "Retry-After": "0" } }],
    ["is not one, but a page to log in at", { status: 200, body: "<html>Welcome to the guest network</html>" }],
    ["has moved", { status: 301, headers: { Location: "http://elsewhere/" } }],
    ["is full", refusal(400, "partial write: max-series-per-database limit exceeded: (1000000) dropped=1")],
    ["does not let this board in", refusal(401, "authorization failed")],
    ["does not let this board write", refusal(403, '"elm" user is not authorized to write to database "undercroft"')],
    ["has not been set up", refusal(500, "retention policy not found: raw")],
  ])("loses nothing when it %s", async (_, reply) => {
    first(3, reply);
    const elm = board();
    elm.live(300);
    await until("it is said", () => elm.lines.length > 0);
    expect(elm.forwarder.health().waiting).toBe(300);
    expect(elm.lines[0]).toMatch(
      /^forward: 127\.0\.0\.1:\d+: .*; tried again in 0 s, and what is to be sent stays on the card$/,
    );
    await elm.allSent();
    expect(readings()).toBe(300);
    expect(elm.lines.at(-1)).toMatch(/^forward: the database takes points again/);
  });

  it("brings an hour that it was away in order, each reading once, and says how far behind it is meanwhile", async () => {
    const times: number[] = [];
    let away = true;
    database.behave((lines) => {
      if (away) return null;
      for (const line of lines) if (line.startsWith("reading,")) times.push(Number(line.split(" ").at(-1)) / 1e9);
      return undefined;
    });
    const elm = board();
    for (let minute = 0; minute < 60; minute++) elm.live(60);
    await until("it is said", () => elm.forwarder.health().error !== null);
    expect(elm.forwarder.health()).toMatchObject({ state: "waiting", waiting: 3600 });
    away = false;
    await elm.allSent();
    expect(times).toHaveLength(3600);
    expect(times.every((time_s, i) => i === 0 || time_s > (times[i - 1] ?? 0))).toBe(true);
    expect((times.at(-1) ?? 0) - (times[0] ?? 0)).toBeCloseTo(3599, 3);
    expect(elm.forwarder.health()).toMatchObject({ state: "current", waiting: 0, error: null });
  });

  it("waits longer from fault to fault, up to a limit", async () => {
    database.behave(() => null);
    const pauses: number[] = [];
    const elm = board({ pace: { first_s: 0.001, longest_s: 0.2 } });
    elm.live(10);
    for (let i = 0; i < 12; i++) {
      const { retryAt_s } = elm.forwarder.health();
      await until("it was tried again", () => elm.forwarder.health().retryAt_s !== retryAt_s);
      pauses.push((elm.forwarder.health().retryAt_s ?? 0) - Date.now() / 1000);
    }
    expect(Math.max(...pauses)).toBeLessThanOrEqual(0.2);
    expect(Math.max(...pauses.slice(8))).toBeGreaterThan(0.03);
  });

  it("leaves it alone for as long as it asks", async () => {
    first(1, { status: 503, headers: { "Retry-After": "3000" } });
    const elm = board();
    elm.live(10);
    await until("it is said", () => elm.lines.length > 0);
    expect((elm.forwarder.health().retryAt_s ?? 0) - Date.now() / 1000).toBeGreaterThan(2990);
  });

  it.each([1, 3])("sends less at once where that is too much, down to %d at a time", async (most) => {
    database.behave((lines) => (lines.length > most ? refusal(413, "Request Entity Too Large") : undefined));
    // Over a full hour, where one reading brings the sums of the hour with it.
    const start_s = (Math.floor(Date.now() / 3_600_000) - 2) * 3600 - 50;
    const elm = board({ pace: { most: 64 }, start_s });
    elm.live(100);
    await elm.allSent();
    expect(readings()).toBe(100);
    expect(elm.forwarder.health().notes.join()).not.toContain("will not have");
  });

  it("leaves out the one point that it will not have, and names it", async () => {
    const elm = board();
    elm.live(100);
    const bad = () => elm.store.span()?.from_s ?? 0;
    database.behave((lines) => {
      const isBad = (line: string) => line.startsWith("reading,") && line.endsWith(` ${bad() + 40}000000000`);
      const dropped = lines.filter(isBad).length;
      if (dropped === 0) return undefined;
      return refusal(
        400,
        `partial write: field type conflict: input field "level_m_steps" is type integer dropped=${dropped}`,
      );
    });
    await elm.allSent();
    expect(readings()).toBe(99);
    expect(elm.lines.join("\n")).toContain(
      'forward: the database will not have 1 point; the card has them: field type conflict: input field "level_m_steps" is type integer (reading,basin=elm-7',
    );
  });

  it("does not look for each of very many, and says how many it will not have", async () => {
    database.behave((lines) => {
      const dropped = lines.filter((line) => line.startsWith("reading,")).length;
      return dropped === 0 ? undefined : refusal(400, `partial write: field type conflict dropped=${dropped}`);
    });
    const elm = board({ pace: { most: 500 } });
    elm.live(500);
    await elm.allSent();
    expect(elm.forwarder.health().notes.join()).toContain("the database will not have 500 points");
    expect(database.writes.length).toBeLessThan(100);
  });
});

describe("a board whose clock is wrong", () => {
  it("keeps to the card what it read before its clock was set", async () => {
    const elm = board({ start_s: 3600 }); // an hour into 1970
    elm.live(3000);
    for (let i = 0; i < 10; i++) elm.watch.take({ time_s: Date.now() / 1000 - 20 + i, level_m: 0.2 });
    elm.store.flush();
    await elm.allSent();
    expect(readings()).toBe(10);
    expect([...database.taken].filter((line) => / \d{1,17}$/.test(line) && !line.startsWith("basin,"))).toEqual([]);
    expect(elm.forwarder.health().notes).toEqual([
      "3,000 readings are of a time before this board's clock was set; they stay on the card alone",
    ]);
  });

  it("holds back readings that are ahead of the database's clock, until that has come to them", async () => {
    let theirs_s = Date.now() / 1000 - 86_400;
    database.setClock(() => theirs_s);
    const elm = board({ pace: { claim_s: 0 } });
    elm.live(50);
    await until("it is said", () => elm.lines.length > 0);
    expect(elm.lines[0]).toMatch(
      /^forward: readings are ahead of the database's clock, and wait until it has come to them: this board's clock is 24\.0 h ahead of the database's, which says /,
    );
    expect(elm.lines[0]).toMatch(
      /; set the wrong one right and start the daemon again, with another store\.path where the record has run ahead, too$/,
    );
    expect(elm.forwarder.health()).toMatchObject({ waiting: 50, error: null });
    expect(readings()).toBe(0);
    theirs_s = Date.now() / 1000;
    await elm.allSent();
    expect(readings()).toBe(50);
    expect(elm.forwarder.health().notes).toEqual([]);
  });

  it("says that a record has run ahead where the clock itself is right, and until when nothing is sent", async () => {
    database.setClock(() => Date.now() / 1000);
    const elm = board({ pace: { claim_s: 0 } });
    const start_s = Math.floor(Date.now() / 1000) + 86_400;
    for (let i = 0; i < 50; i++) elm.store.append({ ...silentReading, time_s: start_s + i, level_m: 0.2 });
    elm.store.flush();
    await until("it is said", () => elm.lines.length > 0);
    const words = `the record has run ahead of the clock: its next reading is of ${new Date(start_s * 1000).toISOString()}, and nothing is sent until then; begin another record (store.path), this one stays as it is`;
    expect(elm.lines[0]).toBe(`forward: ${words}`);
    expect(elm.forwarder.health()).toMatchObject({ waiting: 50, error: null, notes: [words] });
  });

  it("says that it is behind, and sends all the same", async () => {
    database.setClock(() => Date.now() / 1000 + 7200);
    const elm = board();
    elm.live(50);
    await elm.allSent();
    expect(elm.forwarder.health().notes[0]).toMatch(
      /^this board's clock is 120 min behind the database's, which says /,
    );
  });
});

describe("a record that was put back from a copy", () => {
  it("says so for a month, and sends what follows", async () => {
    const now_s = Math.floor(Date.now() / 1000);
    const path = join(folder, "store.db");
    const record = (from_s: number) => {
      const store = openSqliteStore(path);
      for (let i = 0; i < 10; i++) store.append({ ...silentReading, time_s: from_s + i, level_m: 0.2 });
      store.close();
    };
    record(now_s - 7200);
    await backupRecord(path, join(folder, "copy.db"));
    record(now_s - 3600);
    restoreRecord(path, join(folder, "copy.db"), now_s);
    let day = 0;
    const elm = board({ now_s: () => Date.now() / 1000 + day * 86_400 });
    elm.live(20);
    await elm.allSent();
    expect(readings()).toBe(30);
    const iso = (time_s: number) => new Date(time_s * 1000).toISOString();
    const words = `it has nothing of what was recorded from ${iso(now_s - 7191)} to ${iso(now_s - 3591)}`;
    expect(elm.forwarder.health().notes).toEqual([expect.stringContaining(words)]);
    day = 31;
    expect(elm.forwarder.health().notes.filter((note) => note.includes(words))).toEqual([]);
  });
});

describe("a record that is kept for shorter than the database is away", () => {
  it("says how many readings were dropped before they could be sent, and sends the others", async () => {
    database.behave(() => null);
    const elm = board({ store: { keepReadings_s: 7 * 86_400 }, pace: { most: 5000 } });
    const start_s = Math.floor(Date.now() / 1000) - 30_000 * 60;
    const level_m = (i: number) => ((i * 7919) % 10_007) / 20_014; // that no page holds many of
    for (let i = 0; i < 30_000; i++) {
      elm.store.append({ ...silentReading, time_s: start_s + i * 60, level_m: level_m(i) });
    }
    elm.store.flush();
    elm.forwarder.tick();
    database.behave(() => undefined);
    await elm.allSent();
    const { dropped, last } = elm.store.forward.kept();
    expect(dropped).toBeGreaterThan(1000);
    expect(readings()).toBe(last - dropped);
    expect(elm.lines.join("\n")).toContain(
      `forward: ${dropped.toLocaleString("en")} readings had been dropped for their age before they could be sent`,
    );
  });
});

it("names that cannot be read do not stop it, and are said", async () => {
  database.answerQueriesWith(refusal(403, "error authorizing query"));
  const elm = board();
  elm.live(10);
  await elm.allSent();
  expect(elm.lines).toEqual([
    "forward: the names of boards cannot be read there, so that a second board of the same name would not be noticed",
  ]);
});

it("a board that stops while the database is away ends at once", async () => {
  database.behave(() => null);
  const elm = board({ pace: { first_s: 100, longest_s: 100 } });
  elm.live(10);
  await until("it waits", () => elm.forwarder.health().retryAt_s !== null);
  await elm.stop();
});
