// Reads a recording in a thread of its own, where that pays: rows come in while those before them are worked on.

import { type RecordingOptions, type RecordingResult, readRows } from "./read-recording.ts";
import type { RowSink, RowTable } from "./row-table.ts";
import { isWorthAThread, threadForTask } from "./start-thread.ts";
import type { ReadingTask, ThreadMessage } from "./thread-messages.ts";

/** Some hundred thousand rows wait at most: a reader that is quicker than the analysis must not fill the memory. */
const mostAhead = 16;
/** Woken only then: to wake a thread for every block costs more than the block. */
const fewAhead = mostAhead / 2;

/** As `readRows`; in one thread where there is one processor, for a small file and for standard input. */
export function readRowsAside(path: string, options: RecordingOptions, onRows: RowSink): Promise<RecordingResult> {
  return isWorthAThread(path) ? readRowsInThread(path, options, onRows) : readRows(path, options, onRows);
}

/** As `readRows`, always in a thread; not for standard input. What `onRows` throws ends it. */
export function readRowsInThread(path: string, options: RecordingOptions, onRows: RowSink): Promise<RecordingResult> {
  const { columns, timezone, missing, chunkBytes, onProgress, onUnknownColumn, onRestart } = options;
  const ahead = new Int32Array(new SharedArrayBuffer(Int32Array.BYTES_PER_ELEMENT));
  const task: ReadingTask = {
    path,
    options: {
      ...(columns && { columns }),
      ...(timezone && { timezone }),
      ...(missing && { missing }),
      ...(chunkBytes && { chunkBytes }),
    },
    mayRestart: onRestart !== undefined,
    ahead,
    mostAhead,
  };
  const thread = threadForTask();
  let table: RowTable | null = null;
  return new Promise<RecordingResult>((resolve, reject) => {
    const take = (message: ThreadMessage) => {
      if (message.kind === "room") {
        const { length } = message.room.time_ms;
        table = { ...message.room, length, capacity: length };
      } else if (message.kind === "rows") {
        if (table !== null) onRows(table, message.from, message.to);
        // The thread may write there again.
        if (Atomics.sub(ahead, 0, 1) - 1 === fewAhead) Atomics.notify(ahead, 0);
      } else if (message.kind === "progress") onProgress?.(message.done, message.total);
      else if (message.kind === "unknown-column") onUnknownColumn?.(message.name);
      else if (message.kind === "restart") onRestart?.();
      else resolve(message.result);
    };
    thread.on("message", (message: ThreadMessage) => {
      try {
        take(message);
      } catch (error) {
        reject(error);
      }
    });
    thread.postMessage(task);
    thread.on("error", reject);
    thread.on("exit", () => reject(new Error("the thread that reads the recording has ended too early")));
  }).finally(() => thread.terminate());
}
