// The whole daemon on a disk that takes nothing: somebody is told all the same, and the page says what a power cut would
// lose.

import { createServer, type Server } from "node:http";
import type { AddressInfo } from "node:net";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import * as z from "zod";
import { parseSiteFile } from "../../daemon/config/parse-site-file.ts";
import { type Daemon, runDaemon } from "../../daemon/run-daemon.ts";
import { defineSource, type SourceContext } from "../../daemon/sources/source.ts";
import { until } from "../real/until.ts";
import { mayMakeDisks, neededDisk } from "./small-disk.ts";
import { mayMount, tinyDisk } from "./tiny-disk.ts";

let receiver: Server;
let told: string[];
let daemon: Daemon | undefined;
let remove: (() => void) | undefined;
let hand: SourceContext | undefined;
beforeEach(async () => {
  told = [];
  receiver = createServer((request, response) => {
    let body = "";
    request.on("data", (chunk: Buffer) => {
      body += chunk.toString();
    });
    request.on("end", () => {
      told.push(JSON.parse(body).subject);
      response.end();
    });
  });
  await new Promise<void>((resolve) => receiver.listen(0, "127.0.0.1", resolve));
});
afterEach(async () => {
  await daemon?.stop();
  daemon = undefined;
  receiver.closeAllConnections();
  receiver.close();
  remove?.();
  remove = undefined;
});

const byHand = defineSource({
  kind: "hand",
  config: z.object({ kind: z.literal("hand"), name: z.string() }),
  open(_config, context) {
    hand = context;
    return { close() {} };
  },
});

async function start(folder: string): Promise<void> {
  const { port } = receiver.address() as AddressInfo;
  const parsed = parseSiteFile(
    `
site: { name: Hill House }
basin: { shape: round, diameter: 45 cm, depth: 70 cm, start_level: 30 cm, stop_level: 15 cm }
sources: [{ kind: hand, name: by hand }]
server: { port: 0 }
store: { path: ${join(folder, "site.sqlite")} }
alarms:
  channels: [{ kind: webhook, name: hook }]
  contacts: [{ name: Ann, reach: [{ by: hook, to: "http://127.0.0.1:${port}/" }] }]
  change: { supply-lost: { priority: high, on_delay: 0 s, off_delay: 0 s } }
`,
    join(folder, "site.yaml"),
    [byHand],
  );
  if (!parsed.ok) throw new Error(JSON.stringify(parsed.problems));
  daemon = await runDaemon(parsed.siteFile, { log() {}, kinds: [byHand] });
}

async function supplyFails(): Promise<void> {
  const time_s = Date.now() / 1000;
  hand?.emit({ time_s: time_s - 2, mainsOn: true });
  hand?.emit({ time_s: time_s - 1, mainsOn: false });
  await until("somebody is told", () => told.length > 0);
}

/** What the page says of the record. */
async function record(): Promise<{ readonly state: string; readonly error: string | null }> {
  return (await (await fetch(`${daemon?.url}api/state`)).json()).store;
}

async function problemOnPage(): Promise<string | null> {
  return (await (await fetch(`${daemon?.url}api/alarms`)).json()).cardProblem;
}

describe.runIf(mayMount())("a daemon on a disk", { timeout: 60_000 }, () => {
  it("that was full before it started tells all the same", async () => {
    const disk = tinyDisk();
    remove = disk.remove;
    disk.fill();
    await start(disk.folder);
    await supplyFails();
    expect(told).toEqual(["Hill House: SUPPLY LOST"]);
    expect(await problemOnPage()).toContain("the disk is full");
    expect(await record()).toMatchObject({ state: "holding", error: expect.stringContaining("the disk is full") });
  });

  it("that gets full while it runs tells all the same, by the room that it has from the start", async () => {
    const disk = tinyDisk();
    remove = disk.remove;
    await start(disk.folder);
    disk.fill();
    await supplyFails();
    expect(told).toEqual(["Hill House: SUPPLY LOST"]);
    expect(await problemOnPage()).toBeNull();
  });

  it("that was read-only before it started tells all the same", async () => {
    const disk = tinyDisk();
    remove = disk.remove;
    await start(disk.folder);
    await daemon?.stop();
    disk.readOnly();
    await start(disk.folder);
    await supplyFails();
    expect(told).toEqual(["Hill House: SUPPLY LOST"]);
    expect(await problemOnPage()).toContain("read-only");
    expect(await record()).toMatchObject({ state: "holding", error: expect.stringContaining("read-only") });
  });
});

describe.runIf(mayMakeDisks())("a daemon on a disk that fails while it runs", { timeout: 60_000 }, () => {
  it("tells all the same, and says that the card takes nothing", async () => {
    const disk = neededDisk(16);
    remove = disk.remove;
    await start(disk.folder);
    disk.fail();
    await supplyFails();
    expect(told).toEqual(["Hill House: SUPPLY LOST"]);
    expect(await problemOnPage()).toMatch(/read-only|reports an error/);
  });
});
