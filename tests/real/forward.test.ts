// A record forwarded to Debian's influxd: all of it, once, whatever happens on the way.

import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from "vitest";
import { createAnalyzer } from "../../analysis/analyzer.ts";
import type { CreateAnalyzer } from "../../daemon/derive.ts";
import type { LiveState } from "../../daemon/server/api-types.ts";
import { openSqliteStore } from "../../daemon/stores/sqlite-store.ts";
import { cycle_s } from "../analysis/small-basin.ts";
import { type Board, type BoardOptions, startBoard } from "../daemon/forward/board.ts";
import { startChild } from "../fault/children.ts";
import { makeCertificates } from "./certificates.ts";
import { inDatabase, onCard, setUp } from "./forwarded.ts";
import { type Influxd, startInfluxd } from "./influxd.ts";
import { until } from "./until.ts";

const program = join(import.meta.dirname, "../../daemon/undercroft.js");
const admin = { user: "root", password: "every board" };
const boards = { username: "board", password: "its own" };

let server: Influxd;
let all: string;
let folder: string; // of the first board
let count = 0;
let basin: string; // a new one for each test
beforeAll(async () => {
  server = await startInfluxd({ admin });
  const secrets = mkdtempSync(join(tmpdir(), "undercroft-admin-"));
  const password_file = join(secrets, "password");
  writeFileSync(password_file, admin.password);
  const { username, password } = boards;
  await setUp(server, [{ name: username, password, right: "WRITE" }], { username: admin.user, password_file });
  rmSync(secrets, { recursive: true });
});
afterAll(() => server.dispose());
beforeEach(() => {
  basin = `elm-${++count}`;
  all = mkdtempSync(join(tmpdir(), "undercroft-forward-"));
  folder = newFolder();
});
afterEach(() => rmSync(all, { recursive: true }));

function newFolder(): string {
  const made = mkdtempSync(join(all, "board-"));
  writeFileSync(join(made, "password"), `${boards.password}\n`);
  return made;
}

function board(options: Partial<BoardOptions> = {}, its = folder): Board {
  const account = { username: boards.username, password_file: "password" };
  return startBoard(its, { ...options, config: { url: server.url, ...account, basin, ...options.config } });
}

const same = async ({ store }: Board) => expect(await inDatabase(server, basin)).toEqual(onCard(store));

describe("a record that is forwarded", () => {
  it("is in the database as it is on the card, by an account that may only write there", async () => {
    const elm = board();
    elm.live(5000);
    await elm.allSent();
    const { readings, cycles, findings, inflow } = await inDatabase(server, basin);
    expect(readings).toHaveLength(5000);
    expect(cycles.length).toBeGreaterThan(15);
    expect(findings.map(({ to_s }) => to_s === null)).toContain(false);
    expect(inflow.length).toBeGreaterThan(15);
    await same(elm);
  });

  it("follows a cycle that is settled, and a finding that ends, though both had been sent before", async () => {
    const elm = board();
    for (let i = 0; i < 60; i++) {
      elm.live(20); // a run of the pump takes as long
      await elm.allSent();
      if (i % 20 === 0) await same(elm);
    }
    await same(elm);
  });

  it("keeps readings of the very same instant apart, also where a round or a life ends between them", async () => {
    const start_s = Math.floor(Date.now() / 1000) - 100;
    const elm = board({ pace: { most: 2 } });
    for (let i = 0; i < 7; i++) elm.watch.take({ time_s: start_s, level_m: i / 100 });
    elm.store.flush();
    await elm.allSent();
    await elm.stop();
    const again = board({ pace: { most: 2 } });
    for (let i = 7; i < 12; i++) again.watch.take({ time_s: start_s, level_m: i / 100 });
    again.store.flush();
    await again.allSent();
    const { readings } = await inDatabase(server, basin);
    expect(readings.map(({ level_m }) => level_m)).toEqual(Array.from({ length: 12 }, (_, i) => i / 100));
    await same(again);
  });

  it("is taken up where it was left, and by rounds of any size comes to the same", async () => {
    for (const most of [1, 7, 100, 5000]) {
      const elm = board({ pace: { most } });
      elm.live(most === 1 ? 40 : 300);
      await elm.allSent();
      await same(elm);
      await elm.stop();
    }
  });

  it("sends all again to a database that has nothing of it any more", async () => {
    const elm = board();
    elm.live(500);
    await elm.allSent();
    await elm.stop();
    for (const name of ["undercroft", "undercroft_names"])
      await server.query(`DROP SERIES WHERE basin = '${basin}'`, name);
    const again = board();
    await until("all is there", () => again.forwarder.health().lastSuccess_s !== null);
    await again.allSent();
    await same(again);
  });

  it("derived anew, takes what is gone out of the database, and changes the rest", async () => {
    const elm = board();
    elm.live(3000);
    await elm.allSent();
    const before = await inDatabase(server, basin);
    await elm.stop();

    // Another program that sees every other cycle, and those a little longer.
    const createAnother: CreateAnalyzer = (site, options) =>
      createAnalyzer(site, {
        ...options,
        sink: {
          ...options?.sink,
          cycle(cycle, stage) {
            const isOdd = Math.floor(cycle.startedAt_s / cycle_s) % 2 === 1;
            if (isOdd) options?.sink?.cycle?.({ ...cycle, run_s: cycle.run_s + 1, drainBack_m3: null }, stage);
          },
          finding() {},
        },
      });
    const again = board({ version: "2", createAnalyzer: createAnother });
    again.live(100);
    await again.allSent();
    await same(again);
    const after = await inDatabase(server, basin);
    expect(before.findings.length).toBeGreaterThan(2);
    expect(after.findings).toEqual([]);
    expect(Math.abs(after.cycles.length - before.cycles.length / 2)).toBeLessThan(2);
    expect(again.store.forward.place()?.anewFrom_s).toBeNull();
  });
});

describe("a database that goes away", () => {
  it("gets what it missed when it is back, and the log says for how long it was away", async () => {
    const elm = board();
    elm.live(400);
    await elm.allSent();
    await server.kill();
    elm.live(400);
    await until("it is missed", () => elm.forwarder.health().error !== null);
    expect(elm.forwarder.health()).toMatchObject({ state: "waiting", waiting: 400 });
    expect(elm.forwarder.health().error).toMatch(/^127\.0\.0\.1:\d+: (nobody listens there|it cut the connection)/);
    elm.live(400);
    await server.start();
    await elm.allSent();
    await same(elm);
    expect(elm.lines.at(-1)).toMatch(/^forward: the database takes points again after \d+ s$/);
  });
});

describe("a database that refuses", () => {
  it("says that the password is wrong, and takes all once it is right", async () => {
    writeFileSync(join(folder, "password"), "another's\n");
    const elm = board();
    elm.live(50);
    await until("it is refused", () => elm.forwarder.health().error !== null);
    expect(elm.forwarder.health()).toMatchObject({ state: "refused", waiting: 50 });
    expect(elm.forwarder.health().error).toContain(
      "it does not let this board in as board; check forward.username and forward.password_file",
    );
    writeFileSync(join(folder, "password"), `${boards.password}\n`);
    await elm.allSent();
    await same(elm);
  });

  it("says that there is no such database, or that it has not been set up", async () => {
    const elsewhere = board({ config: { url: server.url, database: "nowhere" } });
    elsewhere.live(5);
    await until("it is refused", () => elsewhere.forwarder.health().error !== null);
    expect(elsewhere.forwarder.health().error).toContain("there is no database nowhere there; set it up first");
    await elsewhere.stop();

    await server.query("CREATE DATABASE bare");
    await server.query(`GRANT WRITE ON bare TO ${boards.username}`);
    const bare = board({ config: { url: server.url, database: "bare" } });
    bare.live(5);
    await until("it is refused", () => bare.forwarder.health().error !== null);
    expect(bare.forwarder.health().error).toContain("the database bare there has not been set up");
  });

  it("counts points that are older than it keeps them, and has the others", async () => {
    const day_s = 86_400;
    const start_s = Math.floor(Date.now() / 1000) - 410 * day_s;
    const elm = board({ start_s });
    elm.live(100);
    for (let i = 0; i < 10; i++) elm.watch.take({ time_s: Date.now() / 1000 - 10 + i, level_m: 0.2 });
    elm.store.flush();
    await elm.allSent();
    expect((await inDatabase(server, basin)).readings).toHaveLength(10);
    expect(elm.lines.join("\n")).toMatch(
      /forward: \d+ points were older than the database keeps them; it has left them out/,
    );
    expect(elm.forwarder.health().notes.join()).toMatch(/\d+ points were older than the database keeps them/);
  });

  it("has all but the point whose field is of another type there, which the log names", async () => {
    // Somebody's own program was here first: for this week the database knows the field as text.
    await server.query("CREATE DATABASE mixed WITH DURATION 9600h NAME raw");
    await server.query("CREATE RETENTION POLICY forever ON mixed DURATION INF REPLICATION 1");
    await server.query(`GRANT ALL ON mixed TO ${boards.username}`);
    const login = `u=${admin.user}&p=${encodeURIComponent(admin.password)}`;
    const body = `reading,basin=other temperature_c_steps="warm"`;
    await fetch(`${server.url}/write?db=mixed&rp=raw&${login}`, { method: "POST", body });
    const elm = board({ config: { url: server.url, database: "mixed" } });
    const start_s = Math.floor(Date.now() / 1000) - 100;
    for (let i = 0; i < 64; i++) {
      elm.watch.take({ time_s: start_s + i, level_m: 0.2, ...(i === 40 && { temperature_c: 11.5 }) });
    }
    elm.store.flush();
    await elm.allSent();
    const [found] =
      (await server.query(`SELECT count(level_m_steps) FROM raw.reading WHERE basin = '${basin}'`, "mixed")).results[0]
        ?.series ?? [];
    expect(found?.values[0]?.[1]).toBe(63);
    expect(elm.lines.join("\n")).toMatch(
      /the database will not have 1 point; the card has them: field type conflict: input field "temperature_c_steps"/,
    );
  });
});

describe("a name", () => {
  it("is the board's that had it first; the second is refused, and nothing of it is there", async () => {
    const first = board();
    first.live(300);
    await first.allSent();
    const second = board({}, newFolder());
    second.live(200);
    await until("it is refused", () => second.forwarder.health().error !== null);
    const [its, other] = [first.store.forward.board(), second.store.forward.board()];
    expect(second.forwarder.health()).toMatchObject({ state: "refused", waiting: 200 });
    expect(second.forwarder.health().error).toBe(
      `the name ${basin} is that of board ${its}, and this one is board ${other}; give it another forward.basin, ` +
        `or, where it takes that one's place, say forward.replaces: ${its}`,
    );
    await same(first);
  });

  it("goes to one of two that claim it at once", async () => {
    const two = [board(), board({}, newFolder())];
    for (const one of two) one.live(100);
    await until("one is refused", () => two.some(({ forwarder }) => forwarder.health().error !== null));
    const [winner] = two.filter(({ forwarder }) => forwarder.health().error === null);
    await winner?.allSent();
    expect(await inDatabase(server, basin)).toEqual(winner && onCard(winner.store));
  });

  it("goes over to the board that replaces it, and the old one stops", async () => {
    const first = board({ pace: { claim_s: 0 } });
    first.live(100);
    await first.allSent();
    const second = board({ config: { url: server.url, replaces: first.store.forward.board() } }, newFolder());
    second.live(50);
    await second.allSent();
    first.live(5);
    await until("the old one is refused", () => first.forwarder.health().error !== null);
    expect(first.forwarder.health().error).toContain(`is that of board ${second.store.forward.board()}`);
  });

  it("is not shared with a copy of the card: the one that was started first stops, and says so", async () => {
    const first = board({ pace: { claim_s: 0 } });
    first.live(100);
    await first.allSent();
    const copy = newFolder();
    const { backupRecord } = await import("../../daemon/stores/sqlite/upkeep.ts");
    await backupRecord(join(folder, "store.db"), join(copy, "store.db"));
    const second = board({}, copy);
    second.live(5);
    await second.allSent();
    first.live(5);
    await until("the first is refused", () => first.forwarder.health().error !== null);
    expect(first.forwarder.health().error).toContain("a card was copied");
  });
});

describe("over TLS", () => {
  it("goes to a database whose certificate a known authority has signed, and to no other", async () => {
    const house = makeCertificates(all, "house");
    const other = makeCertificates(all, "other");
    const own = await startInfluxd({ tls: house });
    try {
      await setUp(own, [], { tls: { ca: house.ca } });
      const config = { url: own.url, username: undefined, password_file: undefined };
      const astray = board({ config: { ...config, tls: { ca: other.ca } } });
      astray.live(10);
      await until("it is refused", () => astray.forwarder.health().error !== null);
      expect(astray.forwarder.health()).toMatchObject({ state: "refused", waiting: 10 });
      expect(astray.forwarder.health().error).toContain("nobody vouches for its certificate");
      await astray.stop();
      const known = board({ config: { ...config, tls: { ca: house.ca } } });
      await known.allSent();
      expect(await inDatabase(own, basin)).toEqual(onCard(known.store));
    } finally {
      await own.dispose();
    }
  });
});

describe("the whole daemon", () => {
  it("forwards what it watches, says on its API how far, and carries on after a kill", async () => {
    const house = readFileSync(join(program, "../sources/simulated/demo-house.yaml"), "utf8");
    const forward = { url: server.url, username: boards.username, password_file: "password", basin, every: "1 s" };
    const site = join(folder, "site.yaml");
    writeFileSync(
      site,
      `${house.replace(/speed: \d+/, "speed: 3000")}\nserver: { port: 0 }\nforward: ${JSON.stringify(forward)}\n`,
    );
    let readingsBefore = 0;
    for (const signal of ["SIGKILL", "SIGTERM"] as const) {
      const daemon = startChild(program, "run", "--site", site);
      const [url = ""] = /http:\S+/.exec(await daemon.heard("Open http")) ?? [];
      const health = async () => ((await (await fetch(`${url}api/state`)).json()) as LiveState).forward;
      // After a kill the last round may be sent once more; then comes what had not been sent.
      // Readings alone: while it is written, a point may be seen before all of its fields are.
      const inDatabaseNow = async () => {
        const { results } = await server.query(`SELECT * FROM "raw"."reading" WHERE basin = '${basin}'`, "undercroft");
        return results[0]?.series?.[0]?.values?.length ?? 0;
      };
      await until("more is forwarded", async () => (await inDatabaseNow()) > readingsBefore);
      await until("it is said to be", async () => (await health())?.lastSuccess_s !== null);
      expect(await health()).toMatchObject({ basin, error: null, notes: [] });
      await daemon.kill(signal);
      readingsBefore = await inDatabaseNow();
    }
    const { readings, cycles } = await inDatabase(server, basin);
    const store = openSqliteStore(join(folder, "site.sqlite"));
    const here = onCard(store);
    store.close();
    expect(readings).toEqual(here.readings.slice(0, readings.length));
    const settled = cycles.slice(0, -1); // the last may be settled on the card since
    expect(settled).toEqual(here.cycles.slice(0, settled.length));
  });
});
