// Holds fire drills: some at the start, so that the first alarm finds its way trodden, and one now and then, for what is
// not run for long is thrown out of memory again. Keeps what went wrong in the last one.

import type { Schedule } from "../sources/schedule.ts";
import { type DrillParts, fireDrill } from "./fire-drill.ts";

export interface Drills {
  /** Why nobody would be told of anything; null: the last drill went well. */
  problem(): string | null;
  close(): void;
}

export interface DrillsAround {
  readonly now_s: () => number;
  readonly schedule: Schedule;
  log(line: string): void;
}

/** Of these the first takes as long as all others. */
const atTheStart = 10;
const every_s = 600;

export function holdDrills(parts: Omit<DrillParts, "now_s">, { now_s, schedule, log }: DrillsAround): Drills {
  let problem: string | null = null;
  let cancel = schedule(() => hold(atTheStart), 0.05);
  let closed = false;

  async function hold(rounds: number): Promise<void> {
    const found = await fireDrill({ ...parts, now_s: now_s() }, rounds, () => closed).then(
      () => null,
      (error: unknown) => `the alarms' own drill failed: ${error instanceof Error ? error.message : String(error)}`,
    );
    if (closed) return;
    if (found !== problem) log(`alarms: ${found ?? "their drill went well again"}`);
    problem = found;
    cancel = schedule(() => hold(1), every_s);
  }

  return {
    problem: () => problem,
    close() {
      closed = true;
      cancel();
    },
  };
}
