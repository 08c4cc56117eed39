// What a thread that reads a recording is told and what it sends back.

import type { Channel } from "../../analysis/readings/reading.ts";
import type { RecordingOptions, RecordingResult } from "./read-recording.ts";

/** Of the options, what can be handed to a thread. */
export type ThreadOptions = Pick<RecordingOptions, "columns" | "timezone" | "missing" | "chunkBytes">;

export interface ReadingTask {
  readonly path: string;
  readonly options: ThreadOptions;
  /** Whether a disordered recording may be given anew; see `RecordingOptions.onRestart`. */
  readonly mayRestart: boolean;
  /** One number, shared by both: how many blocks of rows have been sent and not been taken yet. */
  readonly ahead: Int32Array<SharedArrayBuffer>;
  /** With so many the thread waits. */
  readonly mostAhead: number;
}

/** What a thread knows before its task. */
export interface ThreadData {
  /** Folder of what was compiled before; null without one. */
  readonly compiled: string | null;
}

/** Where the thread writes rows and the program reads them: so many blocks as may wait, one after the other, over and over. */
export interface SharedRows {
  readonly time_ms: Float64Array<SharedArrayBuffer>;
  readonly columns: readonly Float64Array<SharedArrayBuffer>[];
  readonly channels: readonly Channel[];
}

export type ThreadMessage =
  /** Rows stand in these from now on. */
  | { readonly kind: "room"; readonly room: SharedRows }
  | { readonly kind: "rows"; readonly from: number; readonly to: number }
  | { readonly kind: "progress"; readonly done: number; readonly total: number }
  | { readonly kind: "unknown-column"; readonly name: string }
  | { readonly kind: "restart" }
  | { readonly kind: "done"; readonly result: RecordingResult };
