// The contract of a source: something that repeats what a device or a file says, as readings, faithfully. A fault is
// `null`, silence is no reading, a gap stays a gap. Smoothing and everything derived belong to the analysis.

import type * as z from "zod";
import type { Channel, Reading } from "../../analysis/readings/reading.ts";
import type { Site } from "../../analysis/site.ts";

/** A reading as a source gives it: a time and the channels it has. */
export type SourceReading = { readonly time_s: number } & { readonly [C in Channel]?: Reading[C] };

/** What the daemon gives to a source. */
export interface SourceContext {
  /** The daemon's steady clock. */
  now_s(): number;
  emit(reading: SourceReading): void;
  /** Counts one rejected reading; the reason names the topic, row or line, what was found and what is expected. */
  reject(reason: string): void;
  /** The source cannot go on: the daemon closes it, says why on the page, and opens it again after a while. */
  fail(error: Error): void;
  /** Nothing comes for now, and the source sees to it itself (a broker that is away); null: that is over. */
  troubled?(reason: string | null): void;
  /** The source has come to its end (a replayed recording). */
  finished(): void;
  /** Time of the newest reading on record; a source that plays a time of its own begins after it. */
  readonly lastReading_s?: number | null;
  readonly site: Site;
  /** Folder of the site file, for relative paths. */
  readonly baseFolder: string;
}

/** A source at work. */
export interface OpenSource {
  close(): void | Promise<void>;
  /** Only of sources that play a time of their own (`replay`, `simulated`): how many seconds pass in one. */
  readonly speed?: { get(): number; set(speed: number): void; readonly max: number };
}

export interface SourceKind<Schema extends z.ZodType = z.ZodType> {
  readonly kind: string;
  /**
   * Strict object schema with `kind: z.literal(…)` and `name`; its `.describe()` texts become the reference table. As
   * `z.lazy(() => …)`: every command loads all kinds, and most site files name few of them.
   */
  readonly config: Schema;
  /** True for a source whose readings are not of a real basin; the page then says so on every view. */
  readonly invented?: boolean;
  /** Opens the device. A driver library is imported here, when it is needed, not at the top of the file. */
  open(config: z.output<Schema>, context: SourceContext): OpenSource | Promise<OpenSource>;
}

export function defineSource<Schema extends z.ZodType>(source: SourceKind<Schema>): SourceKind<Schema> {
  return source;
}

/** How a source is doing; shown on the page. */
export interface SourceHealth {
  readonly name: string;
  readonly kind: string;
  readonly state: "starting" | "running" | "waiting-to-retry" | "finished";
  /** Since when it has been in that state. */
  readonly since_s: number;
  readonly lastReading_s: number | null;
  readonly accepted: number;
  readonly rejected: number;
  readonly lastRejection: string | null;
  /** Why it failed, while it waits to be tried again. */
  readonly error: string | null;
  readonly retryAt_s: number | null;
}
