// Tells when a chattering contact has come to rest. A line that never rests is taken as it is after a longest wait:
// a float that chatters for minutes must not be silent for minutes.

import type { Schedule } from "../schedule.ts";

export interface Debouncer {
  /** The line moved, or may have: have another look when it has come to rest. */
  disturbed(): void;
  resting(): boolean;
  stop(): void;
}

/** How many times the debounce a line may chatter before it is taken as it is. */
const patience = 10;

/**
 * @param debounce_s how long the line must stand still; 0 for a look at once
 * @param look       is called when it has, or has kept on for ten times as long
 */
export function createDebouncer(
  debounce_s: number,
  look: () => void,
  clock: { readonly now_s: () => number; readonly schedule: Schedule },
): Debouncer {
  let since_s: number | null = null;
  let cancel = () => {};

  const settle = () => {
    since_s = null;
    look();
  };

  return {
    disturbed() {
      const now_s = clock.now_s();
      since_s ??= now_s;
      cancel();
      const left_s = since_s + patience * debounce_s - now_s;
      if (debounce_s === 0 || left_s <= 0) settle();
      else cancel = clock.schedule(settle, Math.min(debounce_s, left_s));
    },
    resting: () => since_s === null,
    stop() {
      cancel();
      since_s = null;
    },
  };
}
