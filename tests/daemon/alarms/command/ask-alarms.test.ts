import { spawn } from "node:child_process";
import { once } from "node:events";
import { mkdtempSync, readdirSync, rmSync, writeFileSync } from "node:fs";
import { createServer, type Server } from "node:http";
import type { AddressInfo } from "node:net";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import { askAlarms } from "../../../../daemon/alarms/command/ask-alarms.ts";
import { testAlarms } from "../../../../daemon/alarms/command/test-alarms.ts";
import { recordKey } from "../../../../daemon/stores/record-key.ts";
import { freePort } from "../../../real/free-port.ts";

let folder: string;
let server: Server;
let asked: (string | undefined)[];

beforeEach(async () => {
  folder = mkdtempSync(join(tmpdir(), "undercroft-ask-"));
  asked = [];
  server = createServer((request, response) => {
    asked.push(request.url);
    response.end();
  }).listen(0, "127.0.0.1");
  await once(server, "listening");
});
afterEach(async () => {
  server.closeAllConnections();
  await new Promise((done) => server.close(done));
  rmSync(folder, { recursive: true });
});

describe("the alarms, asked for by a command while no daemon runs", () => {
  it("give no sign of life to whoever waits for the daemon's", async () => {
    const address = `http://127.0.0.1:${(server.address() as AddressInfo).port}`;
    const site = join(folder, "site.yaml");
    writeFileSync(
      site,
      `basin: { shape: round, diameter: 18 in }
server: { port: ${await freePort()} }
alarms: { heartbeat: { url: "${address}/beat" } }
`,
    );
    const alarms = await askAlarms({ site });
    expect(alarms?.running).toBe(false);
    expect((await alarms?.view())?.heartbeat).toBeNull();
    await fetch(`${address}/after`);
    await alarms?.close();
    expect(asked).toEqual(["/after"]);
  });
  it("are its own, though the daemon of another basin answers where its own would", async () => {
    const site = join(folder, "site.yaml");
    server.removeAllListeners("request");
    server.on("request", (request, response) => {
      response.end(request.url === "/api/site" ? '{"site":{"name":"Demo house"}}' : '{"contacts":[{"name":"Ann"}]}');
    });
    const { port } = server.address() as AddressInfo;
    const write = (name: string) =>
      writeFileSync(
        site,
        `site: { name: ${name} }\nbasin: { shape: round, diameter: 18 in }\nserver: { port: ${port} }\n`,
      );
    write("Elm Street");
    const alarms = await askAlarms({ site });
    expect([alarms?.running, (await alarms?.view())?.contacts]).toEqual([false, []]);
    await alarms?.close();
    write("Demo house");
    expect((await askAlarms({ site }))?.running).toBe(true);
    // Of one name, too, where it says which record it keeps.
    const answered = async (record: string) => {
      server.removeAllListeners("request");
      server.on("request", (_, response) => {
        response.end(JSON.stringify({ site: { name: "Demo house" }, record, contacts: [] }));
      });
      const asked = await askAlarms({ site });
      await asked?.close();
      return asked?.running;
    };
    const said = vi.spyOn(console, "error").mockImplementation(() => {});
    expect(await answered(recordKey(join(folder, "another.sqlite")))).toBe(false);
    expect(said.mock.calls.join("\n")).toMatch(
      /watches Demo house and keeps another record than .*; .* give it here too/,
    );
    said.mockRestore();
    expect(await answered(recordKey(join(folder, "site.sqlite")))).toBe(true);
  });

  it("make no file where nothing is to be asked", async () => {
    const site = join(folder, "site.yaml");
    writeFileSync(site, `basin: { shape: round, diameter: 18 in }\nserver: { port: ${await freePort()} }\n`);
    const said = vi.spyOn(console, "error").mockImplementation(() => undefined);
    try {
      await testAlarms({ site }, null, null);
      expect(said).toHaveBeenCalledExactlyOnceWith(`${site}: alarms.contacts: expected somebody to tell, found nobody`);
      expect(readdirSync(folder)).toEqual(["site.yaml"]);
    } finally {
      said.mockRestore();
      process.exitCode = undefined;
    }
  });

  it("open nothing that a daemon has: both would send, and the command says how to reach the daemon", async () => {
    const site = join(folder, "site.yaml");
    const port = await freePort();
    writeFileSync(site, `basin: { shape: round, diameter: 18 in }\nserver: { port: ${port} }\n`);
    const store = join(folder, "elsewhere.sqlite");
    const daemon = spawn(process.execPath, ["-e", holdLock, store], { stdio: ["pipe", "pipe", "inherit"] });
    await once(daemon.stdout, "data");
    const said = vi.spyOn(console, "error").mockImplementation(() => undefined);
    try {
      expect(await askAlarms({ site, store })).toBeNull();
      expect(said).toHaveBeenCalledWith(
        `${store} is in use by another undercroft (process ${daemon.pid}), and it does not answer on http://127.0.0.1:${port}/; give --host and --port as it has them`,
      );
      expect(process.exitCode).toBe(2);
    } finally {
      said.mockRestore();
      process.exitCode = undefined;
      const gone = once(daemon, "exit");
      daemon.kill();
      await gone;
    }
    const alarms = await askAlarms({ site, store });
    expect(alarms?.running).toBe(false);
    await alarms?.close();
  });
});

const lockModule = JSON.stringify(join(import.meta.dirname, "../../../../daemon/stores/sqlite/lock.ts"));
const holdLock = `import(${lockModule}).then(({ lockStore }) => {
  globalThis.lock = lockStore(process.argv[1]);
  console.log("held");
  setInterval(() => {}, 1000);
});`;
