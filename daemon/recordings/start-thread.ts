// The thread that reads a recording, begun before it is known what to read: it loads while the program does.

import { statSync } from "node:fs";
import { getCompileCacheDir } from "node:module";
import { availableParallelism } from "node:os";
import { Worker } from "node:worker_threads";
import type { ThreadData } from "./thread-messages.ts";

/** Smaller files are read before a thread has begun. */
const smallest_bytes = 2_000_000;

let begun: Worker | null = null;

/** False where there is one processor, for a small file and for standard input. */
export function isWorthAThread(path: string): boolean {
  if (availableParallelism() < 2) return false;
  const found = statSync(path, { throwIfNoEntry: false });
  return found?.isFile() === true && found.size >= smallest_bytes;
}

/** Begins the thread for a recording that is worth one. If nothing is read after all, it does not hold the program up. */
export function beginThread(path: string): void {
  if (begun !== null || !isWorthAThread(path)) return;
  begun = newThread();
  begun.unref();
}

/** A thread that waits for its task: the one that was begun, or a new one. */
export function threadForTask(): Worker {
  const thread = begun ?? newThread();
  begun = null;
  thread.ref();
  return thread;
}

function newThread(): Worker {
  const workerData: ThreadData = { compiled: getCompileCacheDir() ?? null };
  // Packed, it is JavaScript.
  const program = import.meta.url.endsWith(".ts") ? "./reading-thread.ts" : "./reading-thread.js";
  return new Worker(new URL(program, import.meta.url), { workerData });
}
