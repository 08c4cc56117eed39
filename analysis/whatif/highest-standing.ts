// The highest level at which the water stood in a recording, and for how long it stood at the rim: a spike is no level.

export interface HighestStanding {
  push(time_s: number, level_m: number): void;
  /** Null before any level. */
  readonly highest_m: number | null;
  readonly atRim_s: number;
  /** The first that was read; it starts a replay. */
  readonly first: { readonly time_s: number; readonly level_m: number } | null;
}

/** Read more seldom, a single reading must do: the next is of other water. */
const closely_s = 5;
/** A silence is no standing. */
const longest_s = 120;

/**
 * Of readings that come closely, a level counts that three in a row reach.
 *
 * @param rim_m     where it runs over, if known; a little under it the water counts as there, since a sensor errs
 * @param highest_m no water stands higher
 */
export function highestStanding(rim_m: number | null, highest_m: number, near_m = 0.01): HighestStanding {
  const state = {
    highest_m: null as number | null,
    atRim_s: 0,
    first: null as { time_s: number; level_m: number } | null,
  };
  let [before_s, before_m] = [Number.NEGATIVE_INFINITY, Number.NaN];
  let [earlier_s, earlier_m] = [Number.NEGATIVE_INFINITY, Number.NaN];
  return {
    push(time_s, level_m) {
      if (!(level_m > -0.1 && level_m < highest_m)) return;
      state.first ??= { time_s, level_m };
      const standing_m =
        time_s - before_s > closely_s
          ? level_m
          : time_s - earlier_s > 2 * closely_s
            ? null
            : Math.min(level_m, before_m, earlier_m);
      if (standing_m !== null && !(standing_m <= (state.highest_m ?? Number.NEGATIVE_INFINITY)))
        state.highest_m = standing_m;
      if (rim_m !== null && Math.min(level_m, before_m) >= rim_m - near_m && time_s - before_s <= longest_s) {
        state.atRim_s += time_s - before_s;
      }
      [earlier_s, earlier_m] = [before_s, before_m];
      [before_s, before_m] = [time_s, level_m];
    },
    get highest_m() {
      return state.highest_m;
    },
    get atRim_s() {
      return state.atRim_s;
    },
    get first() {
      return state.first;
    },
  };
}
