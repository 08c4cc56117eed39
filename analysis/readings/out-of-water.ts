// A level sensor that was taken out of the water, or fell out of it: from one reading to the next, and by more than the pump
// can have moved meanwhile, it reads far less than the pump ever leaves. What it reads from then on is no level.

export interface OutOfWaterState {
  /** Since when; NaN while it is in the water, as far as is known. */
  since_s: number;
  /** What it has read meanwhile. */
  lowest_m: number;
  highest_m: number;
  /** No pump can have moved it there. */
  sure: boolean;
  /** The pump has been seen at rest since: one that runs on may yet have moved it there. */
  rested: boolean;
}

export function newOutOfWater(): OutOfWaterState {
  return { since_s: Number.NaN, lowest_m: Number.NaN, highest_m: Number.NaN, sure: false, rested: false };
}

/** So far under where runs stop no pump draws, and from so little under it no water falls there at once. */
export const farUnder_m = 0.03;
export const aboutStop_m = 0.02;
/** In a longer time a contact may miss a whole run; by less a noisy sensor falls. */
export const atOnce_s = 12;
export const atOnce_m = 0.05;
/** No pump draws the last of the water over the bottom: what reads so is the sensor; common practice, no source. */
export const beyondPumps_m = 0.01;
/** … and nobody bails a basin out within so long, between two readings a minute apart. Judgement, no source. */
export const bailed_s = 90;
/** A pump that runs on for so long after has drawn the water down, of a basin whose sensor hangs over its bottom. Judgement. */
export const runsOn_s = 600;
/** So many times what the pump moves it surely does not. */
const surelyMore = 1.2;
/** What moves by more hangs in water after all, and was set anew. */
const followsWater_m = 0.06;

export interface LevelBefore {
  /** NaN where there is none. */
  readonly last_m: number;
  readonly last_s: number;
  /** The lowest level at which one of the latest runs stopped; NaN before enough of them have shown it. */
  readonly lowestStop_m: number;
}

/**
 * @param pumped_m by how much the pump may have lowered the water since the reading before; 0 where a contact says that it
 *                 rests, Infinity where nothing is known
 * @param runs     whether a contact says that it runs, or ran at the reading before; null without one
 */
export function noteOutOfWater(
  state: OutOfWaterState,
  { last_m, last_s, lowestStop_m }: LevelBefore,
  time_s: number,
  level_m: number,
  pumped_m: number,
  runs: boolean | null,
): void {
  const low = level_m < lowestStop_m - farUnder_m;
  if (!isOutOfWater(state)) {
    const atBottom = level_m < beyondPumps_m;
    // A run that a contact missed ends no lower than others, and none at the bottom.
    const soon_s = atBottom ? bailed_s : atOnce_s;
    const [fell_m, within_s] = [last_m - level_m, time_s - last_s];
    const byNoPump = fellAtOnce(fell_m, within_s, pumped_m, soon_s);
    const fromTheRuns = byNoPump && last_m >= lowestStop_m - aboutStop_m;
    // A pump that draws to the bottom leaves water there, of which a sensor reads something now and then.
    const readsNothing = level_m === 0 && runs !== null && fellAtOnce(fell_m, within_s, 0, soon_s);
    if (low && (fromTheRuns || readsNothing)) {
      const sure = byNoPump || runs === false;
      Object.assign(state, { since_s: time_s, lowest_m: level_m, highest_m: level_m, sure, rested: sure });
    }
    return;
  }
  if (runs === false) state.rested = true;
  const runsOn = !state.rested && time_s - state.since_s >= runsOn_s;
  if (!state.sure && (level_m !== 0 || runsOn)) Object.assign(state, newOutOfWater());
  state.lowest_m = Math.min(state.lowest_m, level_m);
  state.highest_m = Math.max(state.highest_m, level_m);
  if (!low || state.highest_m - state.lowest_m > followsWater_m) Object.assign(state, newOutOfWater());
}

/** From one reading to the next, and by more than the pump can have moved. */
export function fellAtOnce(fell_m: number, within_s: number, pumped_m: number, soon_s = atOnce_s): boolean {
  return fell_m > Math.max(atOnce_m, surelyMore * pumped_m) && within_s <= soon_s;
}

export function isOutOfWater({ since_s }: OutOfWaterState): boolean {
  return !Number.isNaN(since_s);
}
