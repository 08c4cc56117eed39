// Starting a child that is to be killed, and hearing what it said before it died.

import { spawn } from "node:child_process";
import { join } from "node:path";
import { createInterface } from "node:readline";
import { onTestFinished } from "vitest";

export interface Child {
  readonly pid: number;
  /** What it has said so far, line by line; complete once `kill` has returned. */
  readonly lines: readonly string[];
  /** Resolves when it has said a line that begins so; rejects with its words when it ends before. */
  heard(beginning: string): Promise<void>;
  /** SIGKILL, and waits until it is gone. */
  kill(): Promise<void>;
}

/** Runs a script of this folder with the running Node. */
export function startChild(script: string, ...args: string[]): Child {
  const process_ = spawn(process.execPath, [join(import.meta.dirname, script), ...args], {
    stdio: ["ignore", "pipe", "pipe"],
  });
  onTestFinished(() => {
    process_.kill("SIGKILL"); // whatever becomes of the test, nothing is left running
  });
  const lines: string[] = [];
  let complaint = "";
  let waiting: { beginning: string; resolve: () => void; reject: (error: Error) => void } | undefined;

  const said = createInterface({ input: process_.stdout }).on("line", (line) => {
    lines.push(line);
    if (waiting !== undefined && line.startsWith(waiting.beginning)) waiting.resolve();
  });
  process_.stderr.on("data", (words: Buffer) => {
    complaint += words.toString();
  });
  const heardAll = new Promise<void>((resolve) => said.on("close", resolve));
  const gone = new Promise<void>((resolve) =>
    process_.on("close", () => {
      waiting?.reject(new Error(`${script} ended before it said "${waiting.beginning}": ${complaint}`));
      resolve();
    }),
  );

  return {
    pid: process_.pid ?? 0,
    lines,
    heard: (beginning) =>
      new Promise((resolve, reject) => {
        waiting = { beginning, resolve, reject };
        if (lines.some((line) => line.startsWith(beginning))) resolve();
      }),
    async kill() {
      process_.kill("SIGKILL");
      await Promise.all([gone, heardAll]);
    },
  };
}
