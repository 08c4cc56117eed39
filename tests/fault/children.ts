// Starting a child that is to be killed, and hearing what it said before it died.

import { type ChildProcess, spawn } from "node:child_process";
import { resolve as resolvePath } from "node:path";
import { createInterface } from "node:readline";
import { setTimeout as sleep } from "node:timers/promises";
import { onTestFinished } from "vitest";

export interface Child {
  readonly pid: number;
  /** What it has said so far, line by line; complete once it is gone. */
  readonly lines: readonly string[];
  /** The first line that begins so, once it has been said; rejects with the child's complaint when it ends before. */
  heard(beginning: string): Promise<string>;
  /** Sends the signal, SIGKILL if none is named, and waits until the child is gone. */
  kill(signal?: "SIGKILL" | "SIGTERM"): Promise<void>;
}

/** Runs a script with the running Node; its path starts from this folder. */
export function startChild(script: string, ...args: string[]): Child {
  const path = resolvePath(import.meta.dirname, script);
  const child = spawn(process.execPath, [path, ...args], { stdio: ["ignore", "pipe", "pipe"] });
  const lines: string[] = [];
  let complaint = "";
  createInterface({ input: child.stdout }).on("line", (line) => lines.push(line));
  child.stderr.on("data", (words: Buffer) => {
    complaint += words.toString();
  });
  const gone = goneFrom(child);
  onTestFinished(() => {
    child.kill("SIGKILL"); // whatever becomes of the test, nothing is left running
  });

  return {
    pid: child.pid ?? 0,
    lines,
    async heard(beginning) {
      for (;;) {
        const said = lines.find((line) => line.startsWith(beginning));
        if (said !== undefined) return said;
        if (child.exitCode !== null) throw new Error(`${script} ended before it said "${beginning}": ${complaint}`);
        await sleep(5);
      }
    },
    async kill(signal = "SIGKILL") {
      child.kill(signal);
      await gone;
    },
  };
}

/** Its end and that of everything it had said. */
function goneFrom(child: ChildProcess): Promise<void> {
  return new Promise((resolve) => child.on("close", () => setImmediate(resolve)));
}
