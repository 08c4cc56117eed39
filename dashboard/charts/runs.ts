// The runs to shade: those of the record and the one that is under way.

import { live, now_s } from "../live.ts";
import type { Run } from "./run-coverage.ts";

/** Adds the run that has not ended yet; reads the present without following it. */
export function withRunUnderWay(runs: readonly Run[]): Run[] {
  const situation = live.peek()?.situation;
  if (!situation?.pumpRunning || situation.pumpSince_s === null) return [...runs];
  return [...runs, { startedAt_s: situation.pumpSince_s, stoppedAt_s: now_s.peek() }];
}
