// Takes a reading into those that are remembered where they are far apart: which runs it shows, and how long the pump ran.

import { isFlutter } from "./flutter.ts";
import type { Mark, SparseContext } from "./over-stretch.ts";
import type { RunShareState, SparseReading } from "./run-share-state.ts";

export const remembered = 120;
/** A level that sinks by this share of the swing from one reading to the next has been pumped. */
const fallOfSwing = 0.12;
const surelyFell = 4;
/** A float that opens early, and a pump that is not known well. */
const mostOfRun = 0.5;

export function noteMark(state: RunShareState, reading: SparseReading, context: SparseContext): void {
  const { marks } = state;
  const { time_s, volume_m3, on } = reading;
  const { active_m3 } = context;
  const before: Mark = marks.at(-1) ?? { time_s, volume_m3, ran_s: 0, starts: 0, runs: 0, flutters: 0, on };
  const half_s = (time_s - before.time_s) / 2;
  const fell = active_m3 !== null && before.volume_m3 - volume_m3 > leastFall_m3(active_m3, context);
  const started = on === true && state.on === false;
  const flutter =
    started && active_m3 !== null && !hidesRun(2 * half_s, context) && isFlutter(marks, volume_m3, active_m3);
  if (flutter) state.standIns = 0;
  // Between two readings at rest a whole run shows as a fall; without a signal falls one after the other may be one run.
  const rests = on === false && state.on === false;
  const unseen = fell && (on === null ? !state.fell : rests && hidesRun(time_s - before.time_s, context));
  marks.push({
    time_s,
    volume_m3,
    ran_s: on === null ? Number.NaN : before.ran_s + half_s * (timesOf(reading) + timesOf(state)),
    ...ofTwo(before, reading, half_s * (uTimesOf(reading) + uTimesOf(state))),
    starts: before.starts + Number(started),
    runs: before.runs + Number((started && !flutter) || unseen),
    flutters: before.flutters + Number(flutter),
    on,
  });
  state.on = on;
  if (reading.times !== undefined) state.times = reading.times;
  else delete state.times;
  state.fell = fell;
  if (marks.length >= 2 * remembered) state.marks = marks.slice(-remembered);
}

type Running = Pick<SparseReading, "on" | "times">;

/** So many times as much as the pump by itself is moved. */
function timesOf({ on, times }: Running): number {
  return on === true && times !== undefined ? times.times : Number(on);
}

function uTimesOf({ on, times }: Running): number {
  return on === true && times !== undefined ? times.uTimes : 0;
}

function ofTwo(
  { uRan_s = 0, helped = 0 }: Mark,
  reading: SparseReading,
  uMore_s: number,
): Pick<Mark, "uRan_s" | "helped"> {
  const [u_s, both] = [uRan_s + uMore_s, helped + Number(reading.helped === true)];
  return { ...(u_s > 0 && { uRan_s: u_s }), ...(both > 0 && { helped: both }) };
}

/** A whole run fits between two readings so far apart; else a level that falls there at rest was none, or is none. */
function hidesRun(apart_s: number, { active_m3, pump }: SparseContext): boolean {
  const moves = pump();
  return moves === null || active_m3 === null || apart_s * moves.flow_m3s > mostOfRun * active_m3;
}

/** Two readings that only jump about lie so far apart hardly ever. */
function leastFall_m3(active_m3: number, { noise_m3 }: SparseContext): number {
  return Math.max(fallOfSwing * active_m3, surelyFell * Math.SQRT2 * noise_m3);
}
