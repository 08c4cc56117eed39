// Water over where the float starts the pump, with nothing but the level to tell what the pump does. A pump that stands lets
// it rise on as it rose before; one that has started takes what it moves off that.

import { fastestRise_ms, type TrendState } from "../readings/trend.ts";
import { uRate_ms } from "./inflow-while-running.ts";

export interface OverStartState {
  /** What came in before the water was over the start: by rests, and by how fast it rose just then; NaN while it is under it. */
  cameIn_m3s: number;
  rose_m3s: number;
  /** When it was first clearly over it, and its volume then; NaN before. */
  from_s: number;
  from_m3: number;
  readings: number;
  verdict: OverStart;
}

/**
 * `stands`: the water rises as it did at rest. `runs`: by far less than came in. `unsure`: by more, so that either may be.
 * `open`: that is not seen yet. `null`: not over the start, or nothing is known to hold it against.
 */
export type OverStart = "stands" | "runs" | "unsure" | "open" | null;

export function newOverStart(): OverStartState {
  const [cameIn_m3s, rose_m3s, from_s, from_m3] = [Number.NaN, Number.NaN, Number.NaN, Number.NaN];
  return { cameIn_m3s, rose_m3s, from_s, from_m3, readings: 0, verdict: null };
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
  /** So far over the start that a pump would have been called, and not at the rim, where the water rises no more. */
  readonly clearly: boolean;
  /** What is known to have come in of late, at rest; null where nothing is. */
  readonly cameIn_m3s: number | null;
  readonly pumpMoves_m3s: number | null;
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
/** How the water rose before is that of so long, not of what was poured in earlier. Judgement, no source. */
const before_s = 30;
const shortest_s = 4;

export function noteOverStart(state: OverStartState, now: OverStartNow, trend: TrendState): void {
  const { time_s, volume_m3, area_m2, cameIn_m3s, pumpMoves_m3s } = now;
  if (cameIn_m3s === null || pumpMoves_m3s === null) return;
  const uOverASecond_m3s = uRate_ms(now.uLevel_m, 1) * area_m2;
  const shows_s = (surely * uOverASecond_m3s) / (eighth * pumpMoves_m3s);
  if (Number.isNaN(state.cameIn_m3s)) {
    const rises_ms = fastestRise_ms(trend, Math.max(shortest_s, shows_s), before_s) ?? 0;
    state.cameIn_m3s = cameIn_m3s;
    state.rose_m3s = rises_ms * area_m2;
    state.verdict = "open";
  }
  if (state.verdict !== "open" || !now.clearly) return;
  state.readings += 1;
  if (state.readings === 1) {
    state.from_s = time_s;
    state.from_m3 = volume_m3;
  }
  const took_s = time_s - state.from_s;
  if (state.readings < fewest || took_s < shows_s) return;
  const rises_m3s = (volume_m3 - state.from_m3) / took_s;
  // Water that was poured in at once, or a spike, comes no more: what goes on to come in is what did before.
  const goesOn = rises_m3s > (surely * uOverASecond_m3s) / took_s;
  const before_m3s = goesOn ? Math.max(state.cameIn_m3s, state.rose_m3s) : state.cameIn_m3s;
  state.verdict = judged(before_m3s, rises_m3s, pumpMoves_m3s);
}

function judged(before_m3s: number, rises_m3s: number, moves_m3s: number): OverStart {
  if (rises_m3s > (1 + half) * before_m3s + little * moves_m3s) return "unsure";
  if (before_m3s - rises_m3s > half * moves_m3s) return "runs";
  // A pump that moves less than it did, and a storm that it does not hold, leave little of the rise.
  return before_m3s > much * moves_m3s && rises_m3s < half * before_m3s ? "runs" : "stands";
}
