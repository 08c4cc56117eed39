// The thread that reads a recording for `read-in-thread.ts`: rows in columns, block by block.

import { once } from "node:events";
import { enableCompileCache } from "node:module";
import { parentPort, workerData } from "node:worker_threads";
import type { RecordingOptions } from "./read-recording.ts";
import type { RowTable } from "./row-table.ts";
import type { ReadingTask, SharedRows, ThreadData, ThreadMessage } from "./thread-messages.ts";

if (parentPort === null) throw new Error("reading-thread: expected to be a thread's program");
const given = once(parentPort, "message");
const { compiled } = workerData as ThreadData;
// A thread does not share what the program has compiled unless it says so, before it loads the rest of itself.
if (compiled !== null) enableCompileCache(compiled);
const { readRows } = await import("./read-recording.ts");
const [{ path, options, mayRestart, ahead, mostAhead }] = (await given) as [ReadingTask];

function send(message: ThreadMessage): void {
  parentPort?.postMessage(message);
}

/** Rows in a block: a round number of memory pages. */
const blockRows = 8192;
let room: SharedRows | null = null;
let sent = 0;

function sendRows(table: RowTable, from: number, to: number): void {
  if (room === null || room.channels !== table.channels) {
    room = roomFor(table.channels);
    send({ kind: "room", room });
  }
  for (let row = from; row < to; row += blockRows) sendBlock(room, table, row, Math.min(to, row + blockRows));
}

function sendBlock({ time_ms, columns }: SharedRows, table: RowTable, from: number, to: number): void {
  for (let waiting = Atomics.load(ahead, 0); waiting >= mostAhead; waiting = Atomics.load(ahead, 0))
    Atomics.wait(ahead, 0, waiting);
  const start = (sent % mostAhead) * blockRows;
  time_ms.set(table.time_ms.subarray(from, to), start);
  for (const [c, column] of columns.entries()) column.set((table.columns[c] as Float64Array).subarray(from, to), start);
  sent += 1;
  Atomics.add(ahead, 0, 1);
  send({ kind: "rows", from: start, to: start + to - from });
}

function roomFor(channels: RowTable["channels"]): SharedRows {
  const column = () => new Float64Array(new SharedArrayBuffer(mostAhead * blockRows * Float64Array.BYTES_PER_ELEMENT));
  return { time_ms: column(), columns: channels.map(column), channels };
}

const all: RecordingOptions = {
  ...options,
  onProgress: (done, total) => send({ kind: "progress", done, total }),
  onUnknownColumn: (name) => send({ kind: "unknown-column", name }),
  ...(mayRestart && { onRestart: () => send({ kind: "restart" }) }),
};
send({ kind: "done", result: await readRows(path, all, sendRows) });
