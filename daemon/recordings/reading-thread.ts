// The thread that reads a recording for `read-in-thread.ts`: rows in columns, block by block.

import { once } from "node:events";
import { enableCompileCache } from "node:module";
import { parentPort, workerData } from "node:worker_threads";
import type { RecordingOptions } from "./read-recording.ts";
import type { RowTable } from "./row-table.ts";
import type { ReadingTask, ThreadData, ThreadMessage } from "./thread-messages.ts";

if (parentPort === null) throw new Error("reading-thread: expected to be a thread's program");
const given = once(parentPort, "message");
const { compiled } = workerData as ThreadData;
// A thread does not share what the program has compiled unless it says so, before it loads the rest of itself.
if (compiled !== null) enableCompileCache(compiled);
const { readRows } = await import("./read-recording.ts");
const [{ path, options, mayRestart, ahead, mostAhead }] = (await given) as [ReadingTask];

// Once a thread has given memory away, V8 compiles anew whatever reads memory: sooner than that there is little to lose.
structuredClone(null, { transfer: [new ArrayBuffer(1)] });

function send(message: ThreadMessage, transferred: ArrayBuffer[] = []): void {
  parentPort?.postMessage(message, transferred);
}

function sendRows(table: RowTable, from: number, to: number): void {
  for (let sent = Atomics.load(ahead, 0); sent >= mostAhead; sent = Atomics.load(ahead, 0))
    Atomics.wait(ahead, 0, sent);
  Atomics.add(ahead, 0, 1);
  const time_ms = table.time_ms.slice(from, to) as Float64Array<ArrayBuffer>;
  const columns = table.columns.map((column) => column.slice(from, to) as Float64Array<ArrayBuffer>);
  send({ kind: "rows", time_ms, columns, channels: table.channels }, [
    time_ms.buffer,
    ...columns.map(({ buffer }) => buffer),
  ]);
}

const all: RecordingOptions = {
  ...options,
  onProgress: (done, total) => send({ kind: "progress", done, total }),
  onUnknownColumn: (name) => send({ kind: "unknown-column", name }),
  ...(mayRestart && { onRestart: () => send({ kind: "restart" }) }),
};
send({ kind: "done", result: await readRows(path, all, sendRows) });
