// Watches one GPIO line: says its value when it has changed and come to rest, and every so often although it has not.
// The kernel's word that a line moved is only a reason to look: it comes once for many edges, also for none that
// lasted, and not at all from a chip that was unplugged. So the line is read on a timer too.

import type { Gpio } from "onoff";
import type { Schedule } from "../schedule.ts";
import { createDebouncer } from "./debouncer.ts";

/** What is used of `onoff`'s line; a test has its own. */
export type GpioLine = Pick<Gpio, "readSync" | "watch" | "unexport">;

export interface LineWatch {
  /** Releases the line. */
  close(): void;
}

export interface LineWatchOptions {
  readonly debounce_s: number;
  now_s(): number;
  readonly schedule: Schedule;
  onValue(value: boolean): void;
  /** The line cannot be read any more; nothing follows. */
  onFault(error: unknown): void;
}

const readingInterval_s = 1;
const heartbeat_s = 10;

/** @throws when the line cannot be read */
export function watchLine(line: GpioLine, options: LineWatchOptions): LineWatch {
  let value = line.readSync() === 1; // the first edge may be hours away
  let said_s = Number.NEGATIVE_INFINITY;
  let over = false;
  let cancelRead = () => {};

  const say = () => {
    said_s = options.now_s();
    options.onValue(value);
  };
  const stop = () => {
    over = true;
    cancelRead();
    debouncer.stop();
  };
  const guarded = (look: () => void) => () => {
    try {
      if (!over) look();
    } catch (error) {
      stop();
      options.onFault(error);
    }
  };
  const debouncer = createDebouncer(
    options.debounce_s,
    guarded(() => {
      const now = line.readSync() === 1;
      if (now === value) return;
      value = now;
      say();
    }),
    options,
  );
  const readOften = guarded(() => {
    if ((line.readSync() === 1) !== value && debouncer.resting()) debouncer.disturbed();
    // By the next look it would be too late.
    if (options.now_s() - said_s >= heartbeat_s - readingInterval_s) say();
    if (!over) cancelRead = options.schedule(readOften, readingInterval_s);
  });

  line.watch((error) => {
    guarded(() => {
      if (error) throw error;
      debouncer.disturbed();
    })();
  });
  readOften();
  return {
    close() {
      stop();
      line.unexport();
    },
  };
}
