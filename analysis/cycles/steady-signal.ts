// A pump signal freed of bounce: a change counts once it has lasted. Readings wait here meanwhile, so that what comes
// after sees edges and levels in their true order.

/** A contact that flips back sooner has bounced; a motor cannot start and move water in that time. */
export const hold_s = 1.5;
/** What goes to and fro for longer than this does not bounce on its way over: it flickers. */
const longestBounce_s = 4;

export interface SteadySignalState {
  on: boolean | null;
  /** A change that has not lasted long enough yet: when it was first seen, and since when it is there, or gone again. */
  changing: { readonly at_s: number; readonly to: boolean; since_s: number; gone: boolean } | null;
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
  if (state.changing !== null && time_s - state.changing.since_s >= hold_s) settleSignal(state, output);
  if (state.changing !== null && on !== null) bounce(state, state.changing, time_s, on, output);
  if (state.changing === null && on !== null && on !== state.on)
    state.changing = { at_s: time_s, to: on, since_s: time_s, gone: false };
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

/** Lets go of what waits, at a gap or the end; a change in progress counts as made, one that is gone as none. */
export function settleSignal(state: SteadySignalState, output: SteadySignalOutput): void {
  if (state.changing?.gone === false) accept(state, output);
  else if (state.changing !== null) cancel(state, output);
}

/** A contact on its way over goes to and fro, and has changed when it first did if it stays there in the end. */
function bounce(
  state: SteadySignalState,
  changing: NonNullable<SteadySignalState["changing"]>,
  time_s: number,
  on: boolean,
  output: SteadySignalOutput,
): void {
  const gone = on !== changing.to;
  if (gone === changing.gone) return;
  changing.gone = gone;
  changing.since_s = time_s;
  if (!gone) return;
  state.flickers = flickersAt(state, time_s) + 1;
  state.flickeredAt_s = time_s;
  if (time_s - changing.at_s > longestBounce_s) cancel(state, output);
}

function cancel(state: SteadySignalState, output: SteadySignalOutput): void {
  state.changing = null;
  release(state, output);
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
