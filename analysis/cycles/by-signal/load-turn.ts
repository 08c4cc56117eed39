// Whether a motor's load is on its way over: a meter that means over some seconds, or falls off by and by, shows a switch
// in several readings, and the motor was switched before the first of them.

export interface LoadTurnState {
  /** Where the load has stood of late, as a share of the way from standing to running. */
  stood: number;
  /** It has jumped over what the motor draws at work, and comes down to that. */
  rushes: boolean;
  /** The reading before. */
  last: number;
  last_s: number;
  /** Since when it is on its way over; NaN while it is not. */
  from_s: number;
  /** How far it has come, and when it last came further. */
  cameTo: number;
  cameAt_s: number;
  /** The share of switches, the latest above all, of which a reading was half-way. */
  halfWay: number;
}

export function newLoadTurn(): LoadTurnState {
  const { NaN: not } = Number;
  return { stood: not, rushes: false, last: not, last_s: not, from_s: not, cameTo: 0, cameAt_s: not, halfWay: 0 };
}

/**
 * A load that leaves where it stood by more than this share of its way is on its way over. Of a mean over some seconds,
 * each reading of which is off by 1 to 3 %, less is as often noise as what is late by more.
 */
const turns = 0.08;
// Judgement, no source: what comes no further than that within this time stays where it is, a heater beside the motor, or
// a motor with less to do …
const stays_s = 4;
// … over this time it is told where a load stands …
const stands_s = 2;
// … what shows more than this in the first reading of a run is an inrush …
const rush = 1.5;
// … and nearer to either side than this, a reading need not be of a load that is on its way.
const nearEnd = 0.2;
/** So much of each switch goes into the share of those that are seen half-way, and so many of them are a slow meter's. */
const latest = 0.25;
const often = 0.25;

/**
 * Takes a reading of the load.
 *
 * @param way    how far it is from standing, 0, to running, 1; NaN while these are not known
 * @param before on which side it was
 * @param on     on which side it is
 */
export function noteTurn(
  state: LoadTurnState,
  time_s: number,
  way: number,
  before: boolean | null,
  on: boolean | null,
): void {
  if (on === before && on !== null) noteAway(state, time_s, way, on);
  else {
    const halfWay = isHalfWay(state.last) || isHalfWay(way);
    if (before !== null) state.halfWay += latest * ((halfWay ? 1 : 0) - state.halfWay);
    state.from_s = Number.NaN;
    state.stood = way;
    state.rushes = on === true && way > rush;
  }
  state.last = way;
  state.last_s = time_s;
}

/** Whether it is; never of a meter that shows switches at once, of which noise and a changing load alone would tell it. */
export function isOnItsWayOver({ from_s, halfWay }: LoadTurnState): boolean {
  return halfWay >= often && !Number.isNaN(from_s);
}

function noteAway(state: LoadTurnState, time_s: number, way: number, on: boolean): void {
  // An inrush comes down to what the motor draws at work, and is no stop.
  state.rushes &&= state.last - way > turns / 2;
  const { stood, rushes } = state;
  const away = on ? stood - way : way - stood;
  if (!(away > turns) || rushes) {
    const since_s = time_s - state.last_s;
    state.from_s = Number.NaN;
    state.stood = away > -turns && !rushes ? stood + ((way - stood) * since_s) / (since_s + stands_s) : way;
    return;
  }
  if (Number.isNaN(state.from_s)) Object.assign(state, { from_s: time_s, cameTo: 0 });
  if (away > state.cameTo + turns) Object.assign(state, { cameTo: away, cameAt_s: time_s });
  else if (time_s - state.cameAt_s > stays_s) Object.assign(state, { from_s: Number.NaN, stood: way });
}

function isHalfWay(way: number): boolean {
  return way > nearEnd && way < 1 - nearEnd;
}
