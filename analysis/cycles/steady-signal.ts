// A pump signal freed of bounce: a change counts once it has lasted. Readings wait here meanwhile, so that what comes
// after sees edges and levels in their true order.

/** A contact that flips back sooner has bounced; a motor cannot start and move water in that time. */
const hold_s = 1.5;

export interface SteadySignalState {
  on: boolean | null;
  /** A change that has not lasted long enough yet. */
  changing: { at_s: number; to: boolean } | null;
  waiting: { time_s: number; level_m: number | null }[];
  /** Changes that did not last, fading over ten minutes, and when the latest was. */
  flickers: number;
  flickeredAt_s: number;
}

export function newSteadySignal(): SteadySignalState {
  return { on: null, changing: null, waiting: [], flickers: 0, flickeredAt_s: Number.NEGATIVE_INFINITY };
}

export interface SteadySignalOutput {
  edge(time_s: number, on: boolean): void;
  sample(time_s: number, level_m: number): void;
}

/** Takes what the signal says at a reading (`null`: unknown) with the level read then. */
export function feedSignal(
  state: SteadySignalState,
  time_s: number,
  on: boolean | null,
  level_m: number | null,
  output: SteadySignalOutput,
): void {
  if (state.changing !== null && time_s - state.changing.at_s >= hold_s) accept(state, output);
  if (state.changing !== null && on === state.on) {
    state.changing = null;
    state.flickers = flickersAt(state, time_s) + 1;
    state.flickeredAt_s = time_s;
    release(state, output);
  }
  if (state.changing === null && on !== null && on !== state.on) state.changing = { at_s: time_s, to: on };
  if (state.changing === null) {
    if (level_m !== null) output.sample(time_s, level_m);
    return;
  }
  state.waiting.push({ time_s, level_m });
  // The first state ever known has nothing to bounce from.
  if (state.on === null) accept(state, output);
}

/** Changes that did not last, of the ten minutes up to `time_s`; older ones count less and less. */
export function flickersAt({ flickers, flickeredAt_s }: SteadySignalState, time_s: number): number {
  return flickers === 0 ? 0 : flickers * Math.exp((flickeredAt_s - time_s) / 600);
}

/** Lets go of what waits, at a gap or the end; a change in progress counts as made. */
export function settleSignal(state: SteadySignalState, output: SteadySignalOutput): void {
  if (state.changing !== null) accept(state, output);
}

function accept(state: SteadySignalState, output: SteadySignalOutput): void {
  if (state.changing === null) return;
  state.on = state.changing.to;
  output.edge(state.changing.at_s, state.changing.to);
  state.changing = null;
  release(state, output);
}

function release(state: SteadySignalState, output: SteadySignalOutput): void {
  for (const { time_s, level_m } of state.waiting) if (level_m !== null) output.sample(time_s, level_m);
  state.waiting = [];
}
