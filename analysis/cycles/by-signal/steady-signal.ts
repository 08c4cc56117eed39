// A pump signal freed of bounce: a change counts once it has lasted; where it comes and goes while the water falls, each
// is a start. Readings wait here meanwhile, so that what comes after sees edges and levels in their true order.

import { fitCurve } from "../../statistics/fit-curve.ts";
import { type BounceLengthState, hiddenByBounce_s, newBounceLength, noteBounce } from "./bounce-length.ts";

/** A contact that flips back sooner has bounced; a motor cannot start and move water in that time. */
const hold_s = 1.5;
/** One reading alone may fall into a bounce, however far apart they are up to this. */
const fewestReadings = 2;
/** What goes to and fro for longer than this does not bounce on its way over: it flickers. */
const longestBounce_s = 4;
/** So many touches one soon after the other, for longer than that, are a float that switches the pump on and off. */
const fewestTouches = 3;
const soon_s = 4;
/** Touches closer together than this are one that bounces. */
const oneTouch_s = 0.75;

interface Touch {
  readonly from_s: number;
  to_s: number;
}

/** A change that has not lasted long enough yet. */
interface Changing {
  /** When it was first seen. */
  at_s: number;
  readonly to: boolean;
  /** When the signal was first over, later than `at_s` where a motor's load goes over by and by; NaN before. */
  over_s: number;
  /** Since when it is there, or gone again, and by how many readings. */
  since_s: number;
  gone: boolean;
  readings: number;
  touches: Touch[];
}

export interface SteadySignalState {
  on: boolean | null;
  changing: Changing | null;
  /** When the latest change that counts was; -Infinity before the first. */
  switchedAt_s: number;
  waiting: { time_s: number; level_m: number | null }[];
  /** The latest change while the signal chatters, when every change is one of the pump's; else -Infinity. */
  chatteredAt_s: number;
  /** When it last began to. */
  chatteredFrom_s: number;
  /** Changes that did not last, fading over ten minutes, and when the latest was. */
  flickers: number;
  flickeredAt_s: number;
  bounce: BounceLengthState;
  /** By how much, at the most, the contact's bounce may have hidden the latest change. */
  hidden_s: number;
}

export function newSteadySignal(): SteadySignalState {
  return {
    on: null,
    changing: null,
    switchedAt_s: Number.NEGATIVE_INFINITY,
    waiting: [],
    chatteredAt_s: Number.NEGATIVE_INFINITY,
    chatteredFrom_s: Number.NEGATIVE_INFINITY,
    flickers: 0,
    flickeredAt_s: Number.NEGATIVE_INFINITY,
    bounce: newBounceLength(),
    hidden_s: 0,
  };
}

export interface SteadySignalOutput {
  /** @param next_m levels that were read from then on, as far as they are known already */
  edge(time_s: number, on: boolean, next_m?: readonly number[]): void;
  sample(time_s: number, level_m: number): void;
}

/** For whoever listens for edges alone: so the samples need not be gone through. */
export const noSample: SteadySignalOutput["sample"] = () => {};

/**
 * Takes what the signal says at a reading (`null`: unknown) with the level read then.
 *
 * @param turning what it says is on its way to something else: if it comes to that, it changed from then on
 */
export function feedSignal(
  state: SteadySignalState,
  time_s: number,
  on: boolean | null,
  level_m: number | null,
  output: SteadySignalOutput,
  ownRows = false,
  turning = false,
): void {
  if (time_s - state.chatteredAt_s <= soon_s) {
    if (on !== null && on !== state.on) chatter(state, time_s, on, output);
    if (level_m !== null) output.sample(time_s, level_m);
    return;
  }
  if (isOnItsWay(state, time_s, on, turning, output)) {
    state.waiting.push({ time_s, level_m });
    return;
  }
  const { changing } = state;
  if (changing !== null && ownRows) changing.readings = fewestReadings;
  if (changing !== null && on !== null && (on !== changing.to) === changing.gone) changing.readings += 1;
  if (changing !== null && (changing.gone ? time_s - changing.since_s >= soon_s : isThere(changing, time_s)))
    settleSignal(state, output);
  if (state.changing !== null && on !== null) bounce(state, state.changing, time_s, on, output);
  if (state.changing === null && on !== null && on !== state.on) state.changing = changingTo(on, time_s, time_s);
  if (state.changing === null) {
    if (level_m !== null) output.sample(time_s, level_m);
    return;
  }
  state.waiting.push({ time_s, level_m });
  // The first state ever known has nothing to bounce from.
  if (state.on === null) accept(state, output);
}

function changingTo(to: boolean, at_s: number, over_s: number): Changing {
  return { at_s, to, over_s, since_s: over_s, gone: false, readings: 1, touches: [] };
}

/** Whether nothing more is known yet than that the signal is on its way; what comes of it goes on as any change, or as none. */
function isOnItsWay(
  state: SteadySignalState,
  time_s: number,
  on: boolean | null,
  turning: boolean,
  output: SteadySignalOutput,
): boolean {
  if (state.changing === null && turning && on !== null && on === state.on)
    state.changing = changingTo(!on, time_s, Number.NaN);
  const { changing } = state;
  if (changing === null || !Number.isNaN(changing.over_s)) return false;
  if (on === changing.to) Object.assign(changing, { over_s: time_s, since_s: time_s });
  else if (turning) return true;
  else dropChange(state, output);
  return false;
}

/** By how much longer the pump had run at a reading, not taken yet, than those before have said: it showed a switch late. */
export function ranLonger_s({ changing }: SteadySignalState, time_s: number, on: boolean | null): number {
  if (changing === null || !Number.isNaN(changing.over_s) || on !== changing.to) return 0;
  return on ? time_s - changing.at_s : changing.at_s - time_s;
}

function dropChange(state: SteadySignalState, output: SteadySignalOutput): void {
  state.changing = null;
  release(state, [], output);
}

function isThere({ since_s, readings }: Changing, time_s: number): boolean {
  return hasLasted(time_s - since_s, readings);
}

/** What so many readings have said lasts longer than a contact stays so that bounces. */
export function hasLasted(length_s: number, readings: number): boolean {
  return length_s >= hold_s && (readings >= fewestReadings || length_s >= longestBounce_s);
}

/** Changes that did not last, of the ten minutes up to `time_s`; older ones count less and less. */
export function flickersAt({ flickers, flickeredAt_s }: SteadySignalState, time_s: number): number {
  return flickers === 0 ? 0 : flickers * Math.exp((flickeredAt_s - time_s) / 600);
}

/** Lets go of what waits, at a gap or the end; a change in progress counts as made, one that is gone as none. */
export function settleSignal(state: SteadySignalState, output: SteadySignalOutput): void {
  state.chatteredAt_s = Number.NEGATIVE_INFINITY;
  if (Number.isNaN(state.changing?.over_s)) dropChange(state, output);
  else if (state.changing?.gone === false) accept(state, output);
  else if (state.changing !== null) cancel(state, state.changing, output);
}

/** A contact on its way over goes to and fro, and has changed when it first did if it stays there in the end. */
function bounce(
  state: SteadySignalState,
  changing: Changing,
  time_s: number,
  on: boolean,
  output: SteadySignalOutput,
): void {
  const gone = on !== changing.to;
  if (gone === changing.gone) return;
  const { touches, since_s } = changing;
  // What had gone for so long comes anew.
  if (!gone && isThere(changing, time_s)) changing.at_s = time_s;
  changing.gone = gone;
  changing.since_s = time_s;
  changing.readings = 1;
  if (!gone) return;
  noteFlicker(state, time_s);
  const last = touches.at(-1);
  if (last !== undefined && since_s - last.to_s < oneTouch_s) last.to_s = time_s;
  else touches.push({ from_s: since_s, to_s: time_s });
  const first_s = touches[0]?.from_s ?? time_s;
  const often = touches.length >= fewestTouches && time_s - first_s > longestBounce_s;
  if (often && waterFell(state)) beginToChatter(state, changing, output);
  else if (time_s - changing.at_s > longestBounce_s) cancel(state, changing, output);
}

function noteFlicker(state: SteadySignalState, time_s: number): void {
  state.flickers = flickersAt(state, time_s) + 1;
  state.flickeredAt_s = time_s;
}

/** Less of a fall while the signal goes to and fro is no pump, nor is what the scatter of the levels may make. */
const leastFall_m = 0.004;
const surely = 2.5;
/** What drew the water down so lately does so again. */
const lately_s = 3600;

/** A pump that is switched on again and again draws the water down; a loose contact does not. */
function waterFell({ waiting, chatteredFrom_s }: SteadySignalState): boolean {
  const known = waiting.filter(({ level_m }) => level_m !== null);
  const t = Float64Array.from(known, ({ time_s }) => time_s);
  const y = Float64Array.from(known, ({ level_m }) => level_m ?? 0);
  const line = fitCurve({ t, y, weight: t.map(() => 1), count: t.length }, 1);
  if (line === undefined || line.count < 4) return false;
  const [from_s, to_s] = [t[0] as number, t[t.length - 1] as number];
  const { slope, variance } = line.meanSlope(from_s, to_s);
  const uSlope = Math.sqrt((variance * line.residualSquares) / (line.count - 2));
  const fall_m = -slope * (to_s - from_s);
  if (from_s - chatteredFrom_s < lately_s) return fall_m > 0;
  return fall_m > Math.max(leastFall_m, surely * uSlope * (to_s - from_s));
}

/** What was taken for bounces were starts, or stops, of the pump. */
function beginToChatter(
  state: SteadySignalState,
  { to, touches, since_s }: Changing,
  output: SteadySignalOutput,
): void {
  state.changing = null;
  state.hidden_s = 0;
  state.chatteredAt_s = since_s;
  state.chatteredFrom_s = since_s;
  state.switchedAt_s = since_s;
  release(state, edgesOf(touches, to), output);
}

function edgesOf(touches: readonly Touch[], to: boolean): Edge[] {
  return touches.flatMap(({ from_s, to_s }) => [
    { at_s: from_s, on: to },
    { at_s: to_s, on: !to },
  ]);
}

/** A touch of one reading that went by by itself is no bounce: the pump has run, or stood, as long as a start takes. */
function byThemselves({ switchedAt_s }: SteadySignalState, { touches, to }: Changing, before_s: number): Edge[] {
  const alone = touches.filter(
    ({ from_s, to_s }) =>
      to_s - from_s >= hold_s && from_s - switchedAt_s > longestBounce_s && before_s - from_s > longestBounce_s,
  );
  return edgesOf(alone, to);
}

function chatter(state: SteadySignalState, time_s: number, on: boolean, output: SteadySignalOutput): void {
  if (!on) noteFlicker(state, time_s);
  state.on = on;
  state.hidden_s = 0;
  state.chatteredAt_s = time_s;
  state.switchedAt_s = time_s;
  output.edge(time_s, on);
}

function cancel(state: SteadySignalState, changing: Changing, output: SteadySignalOutput): void {
  const edges = byThemselves(state, changing, Number.POSITIVE_INFINITY);
  state.switchedAt_s = edges.at(-1)?.at_s ?? state.switchedAt_s;
  state.changing = null;
  release(state, edges, output);
}

function accept(state: SteadySignalState, output: SteadySignalOutput): void {
  if (state.changing === null) return;
  const { at_s, to, over_s = at_s, since_s } = state.changing;
  const edges = byThemselves(state, state.changing, at_s);
  state.hidden_s = hiddenByBounce_s(state.bounce, since_s - over_s);
  if (state.on !== null) noteBounce(state.bounce, since_s - over_s);
  state.on = to;
  state.switchedAt_s = at_s;
  state.changing = null;
  release(state, [...edges, { at_s, on: to }], output);
}

interface Edge {
  readonly at_s: number;
  readonly on: boolean;
}

/** Lets go of the levels that wait, with the edges among them. */
function release(state: SteadySignalState, edges: readonly Edge[], output: SteadySignalOutput): void {
  const { waiting } = state;
  state.waiting = [];
  let next = 0;
  const passEdges = (to_s: number, from: number) => {
    for (; next < edges.length && (edges[next] as Edge).at_s <= to_s; next += 1) {
      const { at_s, on } = edges[next] as Edge;
      output.edge(at_s, on, levelsFrom(waiting, from));
    }
  };
  waiting.forEach(({ time_s, level_m }, i) => {
    passEdges(time_s, i);
    if (level_m !== null) output.sample(time_s, level_m);
  });
  passEdges(Number.POSITIVE_INFINITY, waiting.length);
}

function levelsFrom(waiting: SteadySignalState["waiting"], from: number): number[] {
  return waiting.slice(from).flatMap(({ level_m }) => level_m ?? []);
}
