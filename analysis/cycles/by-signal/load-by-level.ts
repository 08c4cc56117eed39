// Whether the water goes with a load: what else draws on the motor's line (a fridge, a heater) comes on wherever the water
// stands, and lowers none. Once the water has gone with loads, they are believed without it, until one does not.

export interface LoadByLevelState {
  /** Runs in a row, the latest, in which the water fell with such a load, and that load; NaN before the first. */
  agreed: number;
  lowers: number;
  /** Such a load has come on well under the float's start and lowered none; … or a lesser one has. */
  doubted: boolean;
  lesser: boolean;
  /** While none is on, how high the water stands, and stood before that; and the reading before. */
  before_m: number;
  longBefore_m: number;
  beforeFrom_s: number;
  last_m: number;
  /** The load that is on; and whether it came on well under the float's start, null while none is on. */
  load: number;
  under: boolean | null;
  onAt_s: number;
  /** The highest since it was taken for the motor's by what it draws; 0: it is not. */
  usual: number;
  /** What the water did meanwhile; whether any level was another than the last before: a sensor that is frozen says nothing of it. */
  moved: boolean;
  fell: boolean;
  falls: boolean;
  /** What was drawn when it was seen to fall. */
  fallsBy: number;
  /** When it was last seen to stop falling. */
  stoodAt_s: number;
  /** While the water does not fall its highest level, else the latest that is a fall lower; since when it turns, and how long it took to be seen to. */
  mark_m: number;
  markAt_s: number;
  seenAfter_s: number;
  /** Readings in a row that speak for a turn. */
  turned: number;
}

/** What the water beside a load is held against. */
export interface BesideLoad {
  /** Where the float closes, give or take so much; null where that is not known. */
  readonly start_m: number | null;
  readonly near_m: number;
  /** More than noise makes of a level that stands still. */
  readonly turns_m: number;
}

export function newLoadByLevel(): LoadByLevelState {
  return { agreed: 0, lowers: Number.NaN, doubted: false, lesser: false, ...noLoad() };
}

function noLoad() {
  const { NaN: not } = Number;
  const water = { moved: false, fell: false, falls: false, fallsBy: 0, stoodAt_s: not, mark_m: not, markAt_s: not };
  const before = { before_m: 0, longBefore_m: 0, beforeFrom_s: not, last_m: 0 };
  return { ...before, load: 0, under: null, onAt_s: not, usual: 0, ...water, seenAfter_s: not, turned: 0 };
}

/** A motor's load is less than this where it moves nothing, a fridge's beside a motor mostly; judgement, no source. */
const alike = 0.75;
/** A load that is about as much as that goes to and fro by its noise; one that falls under so much of itself is over, if another goes on. */
const stays = 0.65;
/** Where the float closes a load is the motor's for so long before the water must fall; judgement, no source. */
const waits_s = 30;
/** No meter of those that mean over some seconds takes so long to come up or down. */
const slowest_s = 15;
const byAndBy = 0.1;
// Judgement, no source: so many runs in a row make the next one believed once what draws as much has been something else.
const enough = 3;
/** One reading may be a spike. */
const surely = 2;
/** Water that falls no further for so many times as long as it took to be seen to fall stands; judgement, no source. */
const stands = 3;

/**
 * Takes a reading.
 *
 * @param loaded  as far as the load alone tells
 * @param level_m null where there is none in this reading
 * @returns whether the motor runs
 */
export function withTheWater(
  state: LoadByLevelState,
  besideLoad: () => BesideLoad,
  time_s: number,
  load: number,
  loaded: boolean | null,
  level_m: number | null,
): boolean | null {
  if (loaded !== true) {
    if (state.under !== null) conclude(state, besideLoad(), time_s, level_m);
    if (level_m !== null) noteBefore(state, time_s, level_m);
    return loaded;
  }
  state.load = load;
  const beside = besideLoad();
  if (level_m !== null) noteLevel(state, beside, time_s, level_m);
  // One that came on with the motor may be the motor's, which draws less where it runs dry.
  const joined = state.under === true && load < stays * state.fallsBy;
  if (joined && !state.falls && time_s - state.stoodAt_s > slowest_s) noteOther(state);
  state.usual = isUsual(state) ? Math.max(load, state.usual) : 0;
  if (state.usual > 0) return true;
  // A pump that cannot hold a storm, or moves nothing, lowers none either: then the water is over where it starts.
  const over = beside.start_m !== null && state.mark_m > beside.start_m + beside.near_m;
  return state.falls || over || (beside.start_m !== null && isAtStart(state, time_s));
}

/** As long as nothing else is known to draw there. */
function isAtStart({ doubted, lesser, fell, onAt_s, under }: LoadByLevelState, time_s: number): boolean {
  return !doubted && !lesser && under === false && (fell || time_s - onAt_s < waits_s);
}

function isUsual({ agreed, doubted, lesser, load, lowers, usual }: LoadByLevelState): boolean {
  if (usual > 0 && load > stays * usual) return true;
  return agreed >= (doubted ? enough : 1) && (!lesser || load > alike * lowers);
}

function noteLevel(
  state: LoadByLevelState,
  { start_m, near_m, turns_m }: BesideLoad,
  time_s: number,
  level_m: number,
): void {
  if (state.under === null) {
    // A slow meter shows a start when the water has fallen for long, or no longer does.
    const stood_m = Math.max(level_m, state.before_m, state.longBefore_m);
    const under = start_m !== null && stood_m < start_m - near_m;
    Object.assign(state, { under, onAt_s: time_s, mark_m: stood_m, markAt_s: time_s });
  }
  if (level_m !== state.last_m) state.moved = true;
  const { falls } = state;
  const way_m = falls ? state.mark_m - level_m : level_m - state.mark_m;
  if (way_m > (falls ? turns_m : 0)) state.mark_m = level_m;
  // Water that hardly moves is at its highest by its noise: it falls from where it has gone half of the way.
  if (way_m > (falls ? turns_m : -turns_m / 2)) state.markAt_s = time_s;
  state.turned = way_m < -turns_m ? state.turned + 1 : 0;
  const since_s = time_s - state.markAt_s;
  const stood = falls && since_s > stands * state.seenAfter_s;
  if (!stood && state.turned < surely) return;
  if (!falls) Object.assign(state, { seenAfter_s: since_s, fallsBy: state.load });
  if (!falls) noteLowers(state);
  else state.stoodAt_s = time_s;
  Object.assign(state, { fell: true, falls: !falls, mark_m: level_m, markAt_s: time_s, turned: 0 });
}

/** How high the water stood of late, as two readings in a row say. */
function noteBefore(state: LoadByLevelState, time_s: number, level_m: number): void {
  if (!(time_s - state.beforeFrom_s < slowest_s))
    Object.assign(state, { longBefore_m: state.before_m, before_m: 0, beforeFrom_s: time_s });
  state.before_m = Math.max(state.before_m, Math.min(level_m, state.last_m));
  state.last_m = level_m;
}

/** Something else may have drawn beside the motor: the lesser of two counts at once, the greater by and by. */
function noteLowers(state: LoadByLevelState): void {
  const { load, lowers } = state;
  state.lowers = load > lowers ? lowers + byAndBy * (load - lowers) : load;
}

/** Of a run that is over within two readings the one after it tells; one of a float that chatters lowers too little to show. */
function conclude(state: LoadByLevelState, { turns_m }: BesideLoad, time_s: number, level_m: number | null): void {
  const { moved, fell, falls, mark_m, under, onAt_s } = state;
  const isLow = !falls && level_m !== null && level_m < mark_m - turns_m;
  if (!fell && isLow) noteLowers(state);
  if (fell || isLow) state.agreed = Math.min(enough, state.agreed + 1);
  else if (under === true && moved && time_s - onAt_s > waits_s) noteOther(state);
  Object.assign(state, noLoad());
}

/** What is on is not the motor: it came on by itself, or stays on as the water stops falling and less is drawn. */
function noteOther(state: LoadByLevelState): void {
  const { load, lowers } = state;
  if (load > alike * lowers) Object.assign(state, { agreed: 0, doubted: true });
  else state.lesser = true;
  Object.assign(state, { usual: 0, stoodAt_s: Number.NaN });
}
