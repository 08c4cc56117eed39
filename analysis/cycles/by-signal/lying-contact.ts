// A contact that goes on saying 'runs' although the pump has stopped: the water was down where runs stop, and has risen
// since as it does at rest. A storm does not break at the very moment in which the water is down.

export interface ContactWatchState {
  /** Lowest level of the run, and when; and the first that tells of how it rose since. */
  lowest_m: number;
  lowestAt_s: number;
  from_m: number;
  fromAt_s: number;
  /** The water rises as it does at rest. */
  suspect: boolean;
  /** It has for long enough; holds until the contact changes. */
  lies: boolean;
}

export function newContactWatch(): ContactWatchState {
  return {
    lowest_m: Number.POSITIVE_INFINITY,
    lowestAt_s: Number.NaN,
    from_m: Number.NaN,
    fromAt_s: Number.NaN,
    suspect: false,
    lies: false,
  };
}

export interface UsualRest {
  /** Where runs stop. */
  readonly stop_m: number;
  /** How fast the water rose at the end of the latest rest; far less than the pump lowers it. */
  readonly rise_ms: number;
}

const atStop_m = 0.01;
const surelyRisen_m = 0.01;
const longEnough_s = 20;
const soonest_s = 10;
/** A rise that is this like the usual one; inflow changes, but the pump would have made far more of a difference. */
const likeUsual = [0.4, 1.8] as const;

/**
 * Takes the level while the contact says that the pump runs. What is known of noise and rests is asked for only where the
 * water sinks no longer: in nearly every reading of a run it does.
 *
 * @param noise_m of the level
 * @param usual   null when it is not known, or no little inflow
 */
export function watchContact(
  state: ContactWatchState,
  time_s: number,
  level_m: number,
  noise_m: () => number,
  usual: () => UsualRest | null,
): void {
  if (level_m < state.lowest_m) {
    state.lowest_m = level_m;
    state.lowestAt_s = time_s;
    state.fromAt_s = Number.NaN;
  }
  const since_s = time_s - state.lowestAt_s;
  const risen_m = level_m - state.lowest_m;
  state.suspect = since_s >= soonest_s && sharesUsual(state.lowest_m, risen_m / since_s, usual()) === "as-usual";
  if (!state.suspect) return;
  const goesOnFor_s = time_s - state.fromAt_s;
  const goesOn = sharesUsual(state.lowest_m, (level_m - state.from_m) / goesOnFor_s, usual());
  // A rest that is over between two readings has it rise as much, and a pump that runs again lowers it from there.
  if (!(goesOnFor_s > 0) || goesOn === "faster") {
    state.from_m = level_m;
    state.fromAt_s = time_s;
    return;
  }
  if (since_s < longEnough_s || goesOnFor_s < soonest_s || goesOn === "slower") return;
  if (risen_m > Math.max(surelyRisen_m, 6 * noise_m())) state.lies = true;
}

/** How fast the water rises against how it does at rest; slower where it was not down, or that is not known. */
function sharesUsual(lowest_m: number, rise_ms: number, usual: UsualRest | null): "slower" | "as-usual" | "faster" {
  if (usual === null || !(lowest_m <= usual.stop_m + atStop_m)) return "slower";
  const share = rise_ms / usual.rise_ms;
  if (share >= likeUsual[1]) return "faster";
  return share > likeUsual[0] ? "as-usual" : "slower";
}
