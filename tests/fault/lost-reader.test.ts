// Whoever read the daemon's log has gone (`run --site site.yaml | head -1`): the basin is watched all the same.

import { spawn } from "node:child_process";
import { once } from "node:events";
import { mkdtempSync, rmSync } from "node:fs";
import { createServer } from "node:net";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { setTimeout as sleep } from "node:timers/promises";
import { describe, expect, it, onTestFinished } from "vitest";

const program = join(import.meta.dirname, "../../daemon/undercroft.js");
const demoHouse = join(import.meta.dirname, "../../daemon/sources/simulated/demo-house.yaml");
const longerThanTheGreeting_ms = 500;

describe("a daemon whose log nobody reads any more", () => {
  it.each([["run", "--site", demoHouse, "--store", join(newFolder(), "store.db")], ["demo"]])(
    "%s goes on until it is told to stop",
    async (...command) => {
      const port = await freePort();
      const daemon = spawn(process.execPath, [program, ...command, "--port", `${port}`], {
        stdio: ["ignore", "pipe", "pipe"],
      });
      onTestFinished(() => {
        daemon.kill("SIGKILL");
      });
      const ended = once(daemon, "exit");
      let complaint = "";
      daemon.stderr.on("data", (words: Buffer) => {
        complaint += words.toString();
      });
      daemon.stdout.destroy(); // every line of it meets a closed pipe

      const state = () => fetch(`http://127.0.0.1:${port}/api/state`).then(({ status }) => status);
      while ((await state().catch(() => null)) === null) {
        if (daemon.exitCode !== null) throw new Error(`it ended with status ${daemon.exitCode}: ${complaint}`);
        await sleep(20);
      }
      await sleep(longerThanTheGreeting_ms);
      expect(await state()).toBe(200);

      daemon.kill("SIGTERM");
      expect(await ended).toEqual([0, null]);
      expect(complaint).toBe("");
    },
  );
});

function newFolder(): string {
  const folder = mkdtempSync(join(tmpdir(), "undercroft-reader-"));
  process.on("exit", () => rmSync(folder, { recursive: true, force: true }));
  return folder;
}

async function freePort(): Promise<number> {
  const server = createServer().listen(0, "127.0.0.1");
  await once(server, "listening");
  const address = server.address();
  server.close();
  if (address === null || typeof address === "string") throw new Error("expected a port");
  return address.port;
}
