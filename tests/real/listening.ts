// Waits until a program that was started listens on its port.

import type { ChildProcess } from "node:child_process";
import { connect } from "node:net";
import { setTimeout as sleep } from "node:timers/promises";

/** @param child with its standard error piped, for what it says when it ends instead */
export async function listening(child: ChildProcess, port: number, limit_ms = 30_000): Promise<void> {
  let said = "";
  child.stderr?.on("data", (text) => {
    said += text;
  });
  const end_ms = performance.now() + limit_ms;
  while (performance.now() < end_ms) {
    if (child.exitCode !== null) throw new Error(`${child.spawnfile} ended with code ${child.exitCode}: ${said}`);
    if (await answers(port)) return;
    await sleep(25);
  }
  throw new Error(`${child.spawnfile} does not listen on port ${port}: ${said}`);
}

function answers(port: number): Promise<boolean> {
  return new Promise((resolve) => {
    const socket = connect(port, "127.0.0.1");
    socket.once("connect", () => resolve(true)).once("error", () => resolve(false));
    socket.once("connect", () => socket.destroy());
  });
}
