// A level sensor is known to be frozen only some time after it froze: what it has said again until then is taken back.

import type { AnalyzerState } from "../analyzer-state.ts";
import { withoutItsEnd } from "../cycles/ended-run.ts";
import { forgetAfter } from "../cycles/samples.ts";
import { forgetNewest, waitingTime_s } from "../cycles/waiting-samples.ts";

/** Forgets the levels, of the rest or run under way and of a run before it, that only said again the first of the row that has made it known. */
export function forgetSaidAgain({ screen, tracker, levelRuns: { waiting } }: AnalyzerState): void {
  let count = waiting.count;
  while (waitingTime_s(waiting, count - 1) > screen.repeatsFrom_s) count -= 1;
  forgetNewest(waiting, waiting.count - count);
  forgetAfter(tracker.samples, screen.repeatsFrom_s);
  const { ended } = tracker;
  if (ended !== null && screen.repeatsFrom_s < ended.cycle.stoppedAt_s) tracker.ended = withoutItsEnd(ended);
}
