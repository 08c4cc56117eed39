// A contact that is asked too seldom to time the runs, held against those that the level shows: in readings that lie within
// a run it says 'runs', in a rest it does not. One that never does so is dead.

import { type FallingLevel, wasReadWithin } from "../by-level/falling-level.ts";

export interface ContactInRunsState {
  /** Of the runs in which a level was read, up to the latest change of the contact: it said 'runs' in so many, not in the others. */
  heard: number;
  missed: number;
  /** Runs since that it has not said so in, and what speaks against it since: −ln of how likely that is of a sound one. */
  silent: number;
  against: number;
  /** When the contact last said something else; NaN before it has said anything. */
  since_s: number;
  /** When the latest run stopped where the float does, and how long it took; NaN before the first, and after one elsewhere. */
  stoppedAt_s: number;
  run_s: number;
}

export function newContactInRuns(): ContactInRunsState {
  return {
    heard: 0,
    missed: 0,
    silent: 0,
    against: 0,
    since_s: Number.NaN,
    stoppedAt_s: Number.NaN,
    run_s: Number.NaN,
  };
}

/** Of a sound contact less likely than one in a million. */
const surelyDead = 14;
/** However clear, no single run or rest is worth more: so many are needed. */
export const deadAfterRuns = 3;
const mostWorth = surelyDead / deadAfterRuns;
/** Before any run has shown it, a sound contact misses one in so many of those in which a level was read; judgement, no source. */
const seldomMissed = 4;
/** Runs that are remembered. */
const memory = 60;
/** A rest in which a contact that says 'runs' is belied: read so often, and so many times as long as the run before it. */
const readInRest = 6;
const timesTheRun = 4;

/**
 * A pump of two may rest for long, and now and then a run of the other goes unheard: of a contact that is dead at least
 * every third run does.
 */
const runOfTheOther = 0.4;

/** Whether the contact can be believed no more. */
export function isDeadInRuns({ against }: ContactInRunsState): boolean {
  return against >= surelyDead;
}

/** What the contact has said all the time since then; null where it has changed. */
export function saidSince(state: ContactInRunsState, from_s: number, says: boolean | null): boolean | null {
  return state.since_s <= from_s ? says : null;
}

/** The contact has said something else than before. */
export function contactChanged(state: ContactInRunsState, time_s: number): void {
  state.missed += state.silent;
  state.silent = 0;
  state.against = 0;
  state.since_s = time_s;
}

/** A run that the level shows is over. */
export interface RunOver {
  readonly startedAt_s: number;
  readonly stoppedAt_s: number;
  readonly fall: FallingLevel;
  /** So much longer than the time between two readings that no sound contact misses it. */
  readonly surelySeen: boolean;
  /** The level turned where the float closes, and where it opens: in a storm it goes up and down over them as a pump runs on. */
  readonly atStart: boolean;
  readonly atStop: boolean;
  /** It turned clearly over where the float closes; absent: it did not. */
  readonly overStart?: boolean;
  /** How likely the contact was asked meanwhile; absent: it was. */
  readonly asked?: number;
}

/**
 * Takes a run that is over.
 *
 * @param says  what the contact said since before the run, all the time; null where it changed
 * @param other the same of the other of two pumps; absent where there is one
 */
export function noteRunOver(
  state: ContactInRunsState,
  run: RunOver,
  says: boolean | null,
  other?: boolean | null,
): void {
  state.stoppedAt_s = run.atStop ? run.stoppedAt_s : Number.NaN;
  state.run_s = run.stoppedAt_s - run.startedAt_s;
  const { asked = 1 } = run;
  if (asked === 0) return;
  const read = wasReadWithin(run.fall);
  // Near the end of a run it may have been asked beside it: that tells nothing of how it hears those in which it is.
  const within = read && asked === 1;
  if (says === null && within) noteHeard(state);
  // However often the level goes up and down, one that always says the same is none: 'runs', too.
  if (says === null || (says && !(run.surelySeen && other === undefined && run.atStart && run.atStop))) return;
  // Another pump that nothing watches takes the water over when it stands over where this one should have started.
  if (!says && run.overStart) return;
  // A level may lag behind the water, and lie within a run that is over: how often, the runs before have shown.
  const missesOne = (state.missed + 1) / (state.heard + state.missed + seldomMissed);
  const worth = read ? -Math.log(1 - asked * (1 - missesOne)) : 0;
  const against = run.surelySeen ? mostWorth : Math.min(mostWorth, worth);
  if (other === undefined || other === false) {
    // Of two pumps either may have run.
    if (within) state.silent += other === undefined ? 1 : 0.5;
    state.against += against;
  } else if (!isDeadInRuns(state)) state.against = Math.max(0, state.against - runOfTheOther * against);
}

function noteHeard(state: ContactInRunsState): void {
  state.heard += 1;
  if (state.heard + state.missed <= memory) return;
  state.heard /= 2;
  state.missed /= 2;
}

/** A rest that the level shows is over. @param says since before it, all the time; null where it changed */
export function noteRestOver(state: ContactInRunsState, to_s: number, interval_s: number, says: boolean | null): void {
  const rest_s = to_s - state.stoppedAt_s;
  if (says === true && rest_s >= readInRest * interval_s && rest_s >= timesTheRun * state.run_s)
    state.against += mostWorth;
}
