import { existsSync, mkdtempSync, rmSync } from "node:fs";
import { createServer } from "node:http";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import * as z from "zod";
import { nobodyTold } from "../../daemon/alarms/alarms-config.ts";
import type { SiteFile } from "../../daemon/config/site-file.ts";
import { CannotListen } from "../../daemon/listen-on.ts";
import { type Daemon, type DaemonOptions, runDaemon } from "../../daemon/run-daemon.ts";
import type { LiveState } from "../../daemon/server/api-types.ts";
import { defineSource, type SourceContext, type SourceKind } from "../../daemon/sources/source.ts";
import { openSqliteStore } from "../../daemon/stores/sqlite-store.ts";
import { StoreError } from "../../daemon/stores/store-error.ts";
import { site } from "./server/parts.ts";

let folder: string;
let daemon: Daemon | undefined;
let lines: string[];

beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), "daemon-"));
  lines = [];
});
afterEach(async () => {
  await daemon?.stop();
  rmSync(folder, { recursive: true });
});

function siteFile(changes: Partial<SiteFile> = {}): SiteFile {
  return {
    site,
    sources: [{ kind: "hand", name: "By hand" }],
    store: { path: join(folder, "readings.sqlite") },
    server: { host: "127.0.0.1", port: 0 },
    publish: { mqtt: null },
    alarms: nobodyTold,
    forward: null,
    recording: { columns: {}, timezone: null, missing: [] },
    baseFolder: folder,
    ...changes,
  };
}

/** A source that says what the test says, through `hand`. */
function byHand() {
  let hand: SourceContext | undefined;
  const kind: SourceKind = defineSource({
    kind: "hand",
    config: z.unknown(),
    open(_config, context) {
      hand = context;
      return { close: () => {} };
    },
  });
  return {
    kind,
    say: (reading: Parameters<SourceContext["emit"]>[0]) => hand?.emit(reading),
    fail: (message: string) => hand?.fail(new Error(message)),
  };
}

async function start(kinds: readonly SourceKind[], options: Partial<DaemonOptions> = {}, file = siteFile()) {
  daemon = await runDaemon(file, { log: (line) => lines.push(line), kinds, ...options });
  return daemon;
}

async function state(): Promise<LiveState> {
  const answer = await fetch(`${daemon?.url}api/state`);
  const found: LiveState = await answer.json();
  return found;
}

const until = { timeout: 30_000 };
const clockAt = (now_s: number) => ({ now_s: () => now_s, wallStep_s: () => 0 });

describe("runDaemon", () => {
  it("passes a reading from its source to the page", async () => {
    const source = byHand();
    await start([source.kind], { clock: clockAt(5000) });
    source.say({ time_s: 4999, level_m: 0.25, mainsOn: true });
    const { situation, sources, speed, now_s } = await state();
    expect(situation).toMatchObject({ time_s: 4999, mainsOn: true });
    expect(sources[0]).toMatchObject({ name: "By hand", state: "running", accepted: 1, rejected: 0 });
    expect([speed, now_s]).toEqual([null, 5000]);
  });

  it("counts at its source a reading that comes too late, and says why", async () => {
    const source = byHand();
    await start([source.kind], { clock: clockAt(5000) });
    source.say({ time_s: 4999, level_m: 0.25 });
    source.say({ time_s: 4000, level_m: 0.9 });
    const { situation, sources } = await state();
    expect(situation.time_s).toBe(4999);
    expect(sources[0]).toMatchObject({ accepted: 1, rejected: 1 });
    expect(sources[0]?.lastRejection).toContain("expected no earlier than the newest reading");
  });

  it("lives on when a source fails, and says so", async () => {
    const source = byHand();
    await start([source.kind]);
    source.fail("the wire is off");
    expect((await state()).sources[0]).toMatchObject({ state: "waiting-to-retry", error: "the wire is off" });
    expect(lines).toContain('hand "By hand": the wire is off');
  });

  it("has every reading on disk when it has stopped, and nothing to go through again at the next start", async () => {
    const source = byHand();
    await start([source.kind], { clock: clockAt(5000) });
    for (let time_s = 4000; time_s < 5000; time_s++) source.say({ time_s, level_m: 0.2 });
    await daemon?.stop();
    const store = openSqliteStore(join(folder, "readings.sqlite"));
    expect(store.readingCount()).toBe(1000);
    expect(store.checkpoint()?.readingsSeen).toBe(1000);
    store.close();
    await start([source.kind], { clock: clockAt(5001) });
    expect(lines.filter((line) => line.startsWith("store:"))).toEqual([]);
    expect((await state()).situation.time_s).toBe(4999);
  });

  it("carries on from the record's end when the board wakes up in the past", async () => {
    const source = byHand();
    await start([source.kind], { clock: clockAt(5000) });
    source.say({ time_s: 5000, level_m: 0.2 });
    await daemon?.stop();
    await start([source.kind], { clock: clockAt(100) });
    expect((await state()).now_s).toBe(5000);
    expect(lines.at(-1)).toContain(
      "clock: it says 1970-01-01T00:01:40.000Z and the record ends 1970-01-01T01:23:20.000Z",
    );
  });

  it("says in one sentence that another daemon has the store", async () => {
    const source = byHand();
    await start([source.kind]);
    await expect(runDaemon(siteFile(), { log: () => {}, kinds: [source.kind] })).rejects.toThrow(StoreError);
  });

  it("gives the store back when it cannot start", async () => {
    const other = createServer().listen(0, "127.0.0.1");
    await new Promise((resolve) => other.once("listening", resolve));
    const address = other.address();
    const port = typeof address === "object" && address !== null ? address.port : 0;
    const taken = siteFile({ server: { host: "127.0.0.1", port } });
    await expect(start([byHand().kind], {}, taken)).rejects.toThrow(CannotListen);
    await expect(start([byHand().kind], {}, taken)).rejects.toThrow(`server.port: ${port} is taken`);
    await start([byHand().kind], { orNextFreePort: true }, taken);
    expect(daemon?.url).not.toContain(`:${port}/`);
    other.close();
  });

  it("says on the page why nothing gets to the broker", async () => {
    const broker = { url: "mqtt://127.0.0.1:1", username: "u", password_file: "no-such-file", topic_prefix: "t" };
    const publish = { mqtt: broker };
    await start([byHand().kind], {}, siteFile({ publish }));
    expect((await state()).publisher?.error).toMatch(/no-such-file.*; nothing is published until/);
  });

  it("names an address that is not this machine's", async () => {
    const elsewhere = siteFile({ server: { host: "192.0.2.1", port: 0 } });
    await expect(start([byHand().kind], {}, elsewhere)).rejects.toThrow(
      'server.host: expected an address of this machine, found "192.0.2.1"',
    );
  });

  it("lets the alarms of a simulated basin be seen and tried, in its own time, and keeps and tells nothing", async () => {
    const source = byHand();
    const contacts = [{ name: "Ann", reach: [], quiet: null, mostAnHour: 6 }];
    const file = siteFile({
      sources: [{ kind: "simulated", name: "Demo" }],
      alarms: { ...nobodyTold, contacts, call: [{ contacts: ["Ann"], after_s: 0 }] },
    });
    await start([{ ...source.kind, kind: "simulated", invented: true }], { clock: clockAt(5000) }, file);
    // Some minutes of its own time, in a moment of this one's.
    for (let time_s = 4000; time_s < 4200; time_s++) source.say({ time_s, level_m: 0.3, mainsOn: time_s < 4010 });
    await expect
      .poll(async () => (await state()).alarms, until)
      .toMatchObject([{ name: "supply-lost", state: "unacknowledged" }]);
    const body = JSON.stringify({ alarm: "supply-lost", act: "acknowledge", by: "Ben" });
    const headers = { "content-type": "application/json" };
    const answer = await fetch(`${daemon?.url}api/alarms/act`, { method: "POST", headers, body });
    expect(await answer.json()).toMatchObject({ contacts: [], messages: [], now_s: 4199 });
    expect((await state()).alarms).toMatchObject([{ state: "acknowledged", acknowledgedBy: "Ben" }]);
    expect(existsSync(join(folder, "readings.alarms.sqlite"))).toBe(false);
  });

  it("says what is true now as it changes, and ends the stream when it stops", async () => {
    const source = byHand();
    await start([source.kind], { clock: clockAt(5000) });
    const answer = await fetch(`${daemon?.url}api/events`);
    expect(answer.headers.get("content-type")).toBe("text/event-stream");
    const text = answer.text();
    source.say({ time_s: 4990, level_m: 0.2, mainsOn: true });
    source.say({ time_s: 4999, level_m: 0.2, mainsOn: false });
    await new Promise((resolve) => setTimeout(resolve, 150));
    await daemon?.stop();
    const events = [...(await text).matchAll(/^event: (\w+)$/gm)].map((found) => found[1]);
    expect(events[0]).toBe("state");
    expect(events.length).toBeGreaterThan(1);
  });
});
