// Debian's mosquitto on a loopback port of its own, with a configuration of its own, for one test file.

import { type ChildProcess, spawn } from "node:child_process";
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { freePort } from "./free-port.ts";
import { listening } from "./listening.ts";

export interface Mosquitto {
  readonly port: number;
  readonly url: string;
  /** As a power cut would end it. */
  kill(): Promise<void>;
  /** On the same port; forgets what it had kept. */
  start(): Promise<void>;
  /** For good, with its folder. */
  dispose(): Promise<void>;
}

export interface MosquittoOptions {
  /** Lines of the configuration beside the listener. */
  readonly lines?: readonly string[];
  readonly tls?: boolean;
}

const program = "/usr/sbin/mosquitto";

export async function startMosquitto({
  lines = ["allow_anonymous true"],
  tls = false,
}: MosquittoOptions = {}): Promise<Mosquitto> {
  const port = await freePort();
  const folder = mkdtempSync(join(tmpdir(), "undercroft-mosquitto-"));
  const file = join(folder, "mosquitto.conf");
  // As root it would change to a user of its own, who may not read the test's certificates.
  const user = process.getuid?.() === 0 ? ["user root"] : [];
  writeFileSync(
    file,
    [`listener ${port} 127.0.0.1`, "set_tcp_nodelay true", "persistence false", ...user, ...lines, ""].join("\n"),
  );
  let child: ChildProcess | null = null;
  const broker: Mosquitto = {
    port,
    url: `${tls ? "mqtts" : "mqtt"}://127.0.0.1:${port}`,
    async start() {
      child = spawn(program, ["-c", file], { stdio: ["ignore", "ignore", "pipe"] });
      await listening(child, port);
    },
    async kill() {
      const ended = child;
      child = null;
      if (ended === null || ended.exitCode !== null) return;
      const exit = new Promise((resolve) => ended.once("exit", resolve));
      ended.kill("SIGKILL");
      await exit;
    },
    async dispose() {
      await broker.kill();
      rmSync(folder, { recursive: true, force: true });
    },
  };
  await broker.start();
  return broker;
}
