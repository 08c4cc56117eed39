// How it sounds: the more urgent, the more often (common practice, no source). On and off until it is stopped.

import type { Priority } from "../../../../analysis/alarms/alarm.ts";
import type { Schedule } from "../../../sources/schedule.ts";

export const patterns: Readonly<Record<Priority, { readonly on_s: number; readonly off_s: number }>> = {
  high: { on_s: 0.5, off_s: 0.5 },
  medium: { on_s: 0.5, off_s: 4.5 },
  low: { on_s: 0.2, off_s: 59.8 },
};

/** @returns what ends it; the line then stays as it is */
export function playPattern(priority: Priority, write: (on: boolean) => void, schedule: Schedule): () => void {
  const { on_s, off_s } = patterns[priority];
  let cancel = () => {};
  const turn = (on: boolean) => {
    write(on);
    cancel = schedule(() => turn(!on), on ? on_s : off_s);
  };
  turn(true);
  return () => cancel();
}
