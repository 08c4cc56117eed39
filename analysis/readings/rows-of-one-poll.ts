// Rows that belong together: a logger that asks one sensor after the other and writes each answer in a row of its own. Taken
// one by one they would seem to come twice as often as they do, and a switch to be known as much better as it is not.

import { orNone } from "../statistics/towards.ts";
import { type Channel, channels, type Reading } from "./reading.ts";

export interface PollState {
  /** Which channels the rows of the latest poll have spoken of so far, as bits in their order; 0 before any, or after a whole row. */
  said: number;
  /** … and those of the latest poll in more rows than one. */
  usual: number;
  /** When its first row came, and that of the poll before. */
  from_s: number;
  before_s: number;
  /** Its rows were more than one. */
  joined: boolean;
  /** What they have said, while it waits for the rest; null where they are handed on one by one. */
  waiting: Reading | null;
  /** Share of polls, of late, in more rows than one; of how many, up to as many as it goes by. */
  share: number;
  polls: number;
}

export function newPoll(): PollState {
  return {
    said: 0,
    usual: 0,
    from_s: Number.NaN,
    before_s: Number.NaN,
    joined: false,
    waiting: null,
    share: 0,
    polls: 0,
  };
}

/** One sensor after the other is read within this time, in which a motor hardly begins to move water; common practice, no source. */
const onePoll_s = 1;
const memory = 20;
const fewest = 5;
/** Rows of their own that come by chance so soon after others are fewer. */
const mostly = 0.8;

/** What somebody may have to be woken for, as it was last told. */
interface Known {
  readonly highFloat: boolean | null;
  readonly mainsOn: boolean | null;
}

/**
 * Takes the next row, and hands on what is whole: the row itself, or, where nearly all polls come in more rows than one, the
 * rows of one poll as one reading, at the time of the last. A high float that lifts and a supply that goes wait for nothing:
 * with the supply the other sensors may be gone for good.
 *
 * @returns whether the row is part of a reading that an earlier one has begun
 */
export function joinRows(state: PollState, row: Reading, known: Known, push: (reading: Reading) => void): boolean {
  if (isWhole(row)) {
    if (state.said !== 0) endPoll(state, push);
    if (state.share > 0) state.share = orNone(state.share * (1 - 1 / memory));
    push(row);
    return false;
  }
  const says = saidBy(row);
  const news = isNews(row, known);
  const after_s = row.time_s - state.from_s;
  const soon = after_s >= 0 && after_s <= onePoll_s && !(after_s > (state.from_s - state.before_s) / 2);
  if (soon && state.said !== 0 && (state.said & says) === 0) {
    if (!news) {
      state.said |= says;
      state.joined = true;
    }
    if (state.waiting === null) push(row);
    else {
      state.waiting = together(state.waiting, row);
      if (news || (state.said & state.usual) === state.usual) handOn(state, push);
      return true;
    }
    return false;
  }
  if (state.said !== 0) endPoll(state, push);
  // Temperature and rain come when they come: no reading of the water waits for them, nor they for one.
  if (news || (says & ~weather) === 0) {
    push(row);
    return false;
  }
  state.said = says;
  state.before_s = state.from_s;
  state.from_s = row.time_s;
  state.joined = false;
  // What no poll of late has spoken of, such as a high float that lifts, is no part of one and waits for nothing.
  if (state.share > mostly && state.polls >= fewest && (says & state.usual) !== 0) state.waiting = { ...row };
  else push(row);
  return false;
}

/** Hands on what waits for more of its poll: another begins, or it is the end. */
export function endPoll(state: PollState, push: (reading: Reading) => void): void {
  handOn(state, push);
  state.polls = Math.min(memory, state.polls + 1);
  state.share = orNone(state.share + ((state.joined ? 1 : 0) - state.share) / state.polls);
  if (state.joined) state.usual = state.said;
  state.said = 0;
}

function handOn(state: PollState, push: (reading: Reading) => void): void {
  const { waiting } = state;
  state.waiting = null;
  if (waiting !== null) push(waiting);
}

function isNews({ highFloat, mainsOn }: Reading, known: Known): boolean {
  return (highFloat !== null && highFloat !== known.highFloat) || (mainsOn !== null && mainsOn !== known.mainsOn);
}

const weather = (1 << channels.indexOf("rain_m")) | (1 << channels.indexOf("temperature_c"));

function saidBy(row: Reading): number {
  let said = 0;
  for (let i = 0; i < channels.length; i += 1) if (row[channels[i] as Channel] !== null) said |= 1 << i;
  return said;
}

/** It says both how high the water stands and whether the pump runs. */
function isWhole({ level_m, pumpOn, pumpCurrent_a, pumpPower_w, floatOn }: Reading): boolean {
  return level_m !== null && (pumpOn !== null || pumpCurrent_a !== null || pumpPower_w !== null || floatOn !== null);
}

function together(one: Reading, other: Reading): Reading {
  const said = Object.fromEntries(channels.map((channel) => [channel, other[channel] ?? one[channel]]));
  return { ...one, ...said, time_s: other.time_s };
}
