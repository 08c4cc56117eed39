// Where a level is written down only once it has changed, what was read in between is known as well: it was the same. Put
// back, such a recording is what it would have been by the clock, and is worked off as that one is.

import type { AnalyzerState } from "../analyzer-state.ts";
import { eitherOn } from "../cycles/two-pumps/pump-sets.ts";
import { type LevelsByChangeState, longestStill_s, noteLevelWritten } from "../readings/levels-by-change.ts";
import { type Reading, silentReading } from "../readings/reading.ts";

/** Nothing that the analysis asks for comes and goes more quickly while the water stands. */
const closest_s = 1;
/** A pump that has run for so many looks at the sensor, and for so long, has moved the water: the sensor is gone. Judgement, no source. */
const looksOfRun = 2.5;
const ofRun_s = 10;

/** Takes what was read before and not written down, which goes into no count of rows, and then the reading. */
export function takeWritten(state: AnalyzerState, reading: Reading, take: (reading: Reading) => void): void {
  const { cadence, screen, runSignal, tracker } = state;
  const { time_s, level_m } = reading;
  const { last_s } = cadence;
  if (screen.written?.byChange === true) {
    const { written } = screen;
    if (eitherOn(runSignal.on, tracker.pumps.secondOn) === true)
      written.ran_s += Math.max(0, time_s - Math.max(last_s, written.at_s));
    for (const then_s of looksBetween(written, last_s, time_s)) {
      take({ ...silentReading, time_s: then_s, level_m: written.last_m });
      state.tally.rows -= 1;
    }
  }
  take(reading);
  if (level_m !== null && !(time_s <= last_s)) noteLevelWritten(screen, time_s, level_m);
}

function* looksBetween(written: LevelsByChangeState, last_s: number, time_s: number): Iterable<number> {
  const { at_s, poll_s, ran_s } = written;
  if (ran_s > Math.max(ofRun_s, looksOfRun * poll_s) || !(time_s - at_s <= longestStill_s(written))) return;
  const every_s = Math.max(closest_s, poll_s);
  for (let i = Math.floor((last_s - at_s) / every_s) + 1; at_s + i * every_s < time_s - poll_s / 2; i += 1)
    if (at_s + i * every_s > last_s) yield at_s + i * every_s;
}
