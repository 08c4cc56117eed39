// Water over where the float starts the pump, with nothing but the level to tell what the pump does. A pump that stands lets
// it rise on as it rose before; one that has started takes what it moves off that.

import { fastestRise_ms, type TrendState } from "../readings/trend.ts";
import { uRate_ms } from "./inflow-while-running.ts";

export interface OverStartState {
  /** What came in before the water was over the start: by rests, and by how fast it rose just then; NaN while it is under it. */
  cameIn_m3s: number;
  rose_m3s: number;
  /** The first reading clearly over it, later that of the stretch that is looked at; NaN before. */
  from_s: number;
  from_m3: number;
  /** The reading before this one. */
  last_s: number;
  last_m3: number;
  readings: number;
  /** How fast it rose up to there, later over the stretch before this one; NaN without one. */
  before_m3s: number;
  wasAtRim: boolean;
  verdict: OverStart;
}

/**
 * `stands`: the water rises as it did at rest. `runs`: by what the pump moves less than came in. `unsure`: neither, so that
 * either may be. `open`: that is not seen yet. `null`: not over the start, or nothing is known to hold it against.
 */
export type OverStart = "stands" | "runs" | "unsure" | "open" | null;

export function newOverStart(): OverStartState {
  const [cameIn_m3s, rose_m3s, before_m3s] = [Number.NaN, Number.NaN, Number.NaN];
  const [from_s, from_m3, last_s, last_m3] = [Number.NaN, Number.NaN, Number.NaN, Number.NaN];
  const flows = { cameIn_m3s, rose_m3s, before_m3s };
  return { ...flows, from_s, from_m3, last_s, last_m3, readings: 0, wasAtRim: false, verdict: null };
}

/** The water is down, or the pump was seen to run: the next rise is another one. */
export function leaveOverStart(state: OverStartState): void {
  if (!Number.isNaN(state.cameIn_m3s)) Object.assign(state, newOverStart());
}

/** What is known at a reading with the water over the start. */
export interface OverStartNow {
  readonly time_s: number;
  readonly volume_m3: number;
  readonly area_m2: number;
  /** Standard deviation of a level, by noise and rounding. */
  readonly uLevel_m: number;
  /** So far over the start that a pump would have been called. */
  readonly clearly: boolean;
  /** At the rim the water rises no more, whatever comes in. */
  readonly overRim: boolean;
  /** What is known to have come in of late, at rest; null where nothing is. */
  readonly cameIn_m3s: number | null;
  readonly pumpMoves_m3s: number | null;
  /** Its runs are over between two readings: it may move several times as much. */
  readonly atLeast: boolean;
}

/** Two points make a line, and a third shows that neither was a spike. */
const fewest = 3;
/** Midway between all and nothing of what the pump moves, and of what came in. */
const half = 0.5;
/** Of what the pump moves: what came in at rest is no little any more; and what it may have grown by. Judgement, no source. */
const much = 0.3;
const little = 0.05;
/** Standard deviations by which a rise is known to an eighth of what the pump moves. Judgement, no source. */
const surely = 4;
const eighth = 0.125;
/** Alike to so much is the same flow. */
const quarter = 0.25;
/** What rises alike from one reading to the next for so long is known well enough, whatever noise is thought to be. */
export const evenFor_s = 8;
/** So long the rise of water that a pump holds does not stay what it is. Judgement, no source. */
export const long_s = 300;
/** Each metre that the water stands higher a pump moves more by this share at the least. Judgement, no source. */
const morePerMetre = 0.1;
/** How the water rose before is that of so long, not of what was poured in earlier. Judgement, no source. */
const before_s = 30;
const shortest_s = 4;

export function noteOverStart(state: OverStartState, now: OverStartNow, trend: TrendState): void {
  const { cameIn_m3s, pumpMoves_m3s } = now;
  if (cameIn_m3s === null || pumpMoves_m3s === null) return;
  const uOverASecond_m3s = uRate_ms(now.uLevel_m, 1) * now.area_m2;
  if (Number.isNaN(state.cameIn_m3s)) {
    const over_s = Math.max(shortest_s, showsAfter_s(uOverASecond_m3s, pumpMoves_m3s));
    const rises_ms = fastestRise_ms(trend, over_s, before_s) ?? 0;
    state.cameIn_m3s = cameIn_m3s;
    state.rose_m3s = rises_ms * now.area_m2;
    state.verdict = "open";
  }
  if (state.verdict === "stands") return;
  if (state.verdict === "open") judge(state, now, pumpMoves_m3s, uOverASecond_m3s);
  else if (now.clearly && !now.overRim) noteGoingOn(state, now, pumpMoves_m3s, uOverASecond_m3s);
}

function showsAfter_s(uOverASecond_m3s: number, moves_m3s: number): number {
  return (surely * uOverASecond_m3s) / (eighth * moves_m3s);
}

/** @param uOverASecond_m3s of a rise over one second; over `n` it is known `n` times as well */
function judge(state: OverStartState, now: OverStartNow, moves_m3s: number, uOverASecond_m3s: number): void {
  const { time_s, volume_m3 } = now;
  // What stands at the rim says nothing, nor does what it sinks to once less comes in.
  state.wasAtRim ||= now.overRim;
  const step_m3s = (volume_m3 - state.last_m3) / (time_s - state.last_s);
  const evenly = Math.abs(step_m3s - state.before_m3s) < eighth * moves_m3s;
  state.last_s = time_s;
  state.last_m3 = volume_m3;
  state.before_m3s = step_m3s;
  if (!now.clearly || state.wasAtRim) return;
  state.readings += 1;
  if (state.readings === 1) beginStretch(state, now);
  const took_s = time_s - state.from_s;
  const shows = state.readings >= fewest && took_s >= showsAfter_s(uOverASecond_m3s, moves_m3s);
  if (!shows && !(evenly && state.readings > 1 && took_s >= evenFor_s)) return;
  const rises_m3s = (volume_m3 - state.from_m3) / took_s;
  state.verdict = judged(state, rises_m3s, (surely * uOverASecond_m3s) / took_s, moves_m3s, now.atLeast);
  state.before_m3s = Number.NaN;
  beginStretch(state, now);
}

function beginStretch(state: OverStartState, { time_s, volume_m3 }: OverStartNow): void {
  state.from_s = time_s;
  state.from_m3 = volume_m3;
}

/** @param surely_m3s a rise by more is no noise */
function judged(
  { cameIn_m3s, rose_m3s }: OverStartState,
  rises_m3s: number,
  surely_m3s: number,
  moves_m3s: number,
  atLeast: boolean,
): OverStart {
  const goesOn = rises_m3s > surely_m3s;
  if (goesOn && alike(rises_m3s, cameIn_m3s)) return "stands";
  // Water that was poured in at once, or a spike, comes no more: what goes on to come in is what did before.
  const before_m3s = goesOn ? Math.max(cameIn_m3s, rose_m3s) : cameIn_m3s;
  if (rises_m3s > (1 + half) * before_m3s + little * moves_m3s) return "unsure";
  const stormy = cameIn_m3s > much * moves_m3s;
  if (before_m3s - rises_m3s > (stormy ? half : 1 - quarter) * moves_m3s) return "runs";
  if (stormy) {
    // A pump that moves less than it did, and a storm that it does not hold, leave little of the rise.
    return rises_m3s < half * before_m3s && !atLeast ? "runs" : "stands";
  }
  // What begins to pour in just before may be as much as the pump moves and more, unless it rises alike before and after.
  if (Math.max(rose_m3s, rises_m3s) < much * moves_m3s || alike(rose_m3s, rises_m3s)) return "stands";
  const more = rises_m3s > (1 + half) * cameIn_m3s + little * moves_m3s;
  return more && rises_m3s < half * rose_m3s ? "runs" : "unsure";
}

function alike(one: number, other: number): boolean {
  return Math.abs(one - other) < quarter * Math.max(one, other);
}

/**
 * Water that goes on to rise by what came in at rest, and as fast as before, is not held by a pump, which moves the more the
 * higher the water stands: what was poured in is over.
 */
function noteGoingOn(state: OverStartState, now: OverStartNow, moves_m3s: number, uOverASecond_m3s: number): void {
  const { cameIn_m3s, before_m3s, from_s } = state;
  const took_s = now.time_s - from_s;
  const rises_m3s = (now.volume_m3 - state.from_m3) / took_s;
  if (cameIn_m3s > much * moves_m3s || took_s < long_s) return;
  if (2 * uOverASecond_m3s > quarter * took_s * Math.abs(rises_m3s)) return;
  const higher_m = (now.volume_m3 - state.from_m3) / now.area_m2;
  const less_m3s = Math.max((morePerMetre / 2) * higher_m * moves_m3s, (2 * uOverASecond_m3s) / took_s);
  const steady = rises_m3s > 0 && Math.abs(rises_m3s - before_m3s) < less_m3s;
  if (steady && rises_m3s < (1 + quarter) * cameIn_m3s) state.verdict = "stands";
  state.before_m3s = rises_m3s;
  beginStretch(state, now);
}
