// What sensors and contacts make of the truth: noise white and coloured, steps, spikes, held values, ripples after a run,
// a drift over hours, a bouncing contact, a motor's current; and upsets that begin and end.

import { type Reading, silentReading } from "../../analysis/readings/reading.ts";
import type { Plant, PumpSet } from "./plant.ts";
import type { Random } from "./random.ts";

/** A time in which the level sensor, or the pump's contact, does not tell the truth. */
export interface Upset {
  readonly from_s: number;
  readonly to_s: number;
  readonly what:
    | { readonly kind: "frozen" }
    | { readonly kind: "code"; readonly level_m: number }
    | { readonly kind: "dropping"; readonly share: number }
    | { readonly kind: "foam"; readonly noise_m: number }
    | { readonly kind: "shifted"; readonly by_m: number }
    /** Goes off little by little from the beginning to the end, by a zero and by a share of the level. */
    | { readonly kind: "drifting"; readonly by_m: number; readonly share: number }
    | { readonly kind: "contact-dead"; readonly says: boolean };
}

export interface Senses {
  readonly white_m: number;
  readonly coloured_m: number;
  readonly coloured_s: number;
  readonly drift_m: number;
  readonly drift_s: number;
  /** An ultrasonic's error over the day, with the air's temperature. */
  readonly daily_m: number;
  readonly step_m: number;
  readonly ripple_m: number;
  readonly spikeShare: number;
  readonly spike_m: number;
  /** A spike goes on for up to so many readings, each off by its own. */
  readonly spikeRow: number;
  /** Share of readings at which the value of the reading before is said again, for up to ten in a row. */
  readonly heldShare: number;
  readonly dropShare: number;
  readonly span: number;
  readonly zero_m: number;
  /** For so long after a switch the contact says either. */
  readonly bounce_s: number;
  readonly running_a: number;
  readonly idle_a: number;
  /** Mean temperature of the day. */
  readonly mean_c: number;
  readonly channels: readonly (
    | "level"
    | "pumpOn"
    | "pump2On"
    | "floatOn"
    | "highFloat"
    | "current"
    | "power"
    | "mains"
    | "temperature"
  )[];
  readonly upsets: readonly Upset[];
  /** Of two pumps that take turns, `pumpOn` tells of the first alone and nothing of the second. */
  readonly secondUnseen?: boolean;
}

const ripplePeriod_s = 1.13;
const rippleFades_s = 6;
const inrush_s = 0.25;

export function sensesOf(
  senses: Senses,
  plant: Plant,
  high_m: number,
  random: Random,
): { readonly read: (time_s: number) => Omit<Reading, "time_s">; readonly saysAgain: () => boolean } {
  const has = new Set(senses.channels);
  const coloured = wander(senses.coloured_m, senses.coloured_s, random);
  const drift = wander(senses.drift_m, senses.drift_s, random);
  const phase = random.between(0, 2 * Math.PI);
  let last_m = Number.NaN;
  let held = 0;
  let spikes = 0;
  let again = false;
  let highFloat = false;

  function level_m(time_s: number): number | null {
    const { state } = plant;
    const upset = senses.upsets.find(
      ({ from_s, to_s, what }) => what.kind !== "contact-dead" && from_s <= time_s && time_s < to_s,
    )?.what;
    const since_s = time_s - state.stoppedAt_s;
    const ripple_m =
      since_s >= 0 && since_s < 8 * rippleFades_s
        ? senses.ripple_m * Math.exp(-since_s / rippleFades_s) * Math.cos((2 * Math.PI * since_s) / ripplePeriod_s)
        : 0;
    const error_m =
      coloured(time_s) +
      drift(time_s) +
      senses.daily_m * Math.sin((2 * Math.PI * time_s) / 86_400 + phase) +
      senses.white_m * random.normal() +
      (upset?.kind === "foam" ? upset.noise_m * random.normal() : 0) +
      (upset?.kind === "shifted" ? upset.by_m : 0) +
      drifted_m(time_s);
    let seen_m = senses.zero_m + senses.span * (state.level_m + ripple_m) + error_m;
    if (spikes > 0) spikes -= 1;
    else if (senses.spikeShare > 0 && random.chance(senses.spikeShare))
      spikes = senses.spikeRow === 1 ? 1 : 1 + Math.floor(random.between(0, senses.spikeRow));
    if (spikes > 0) {
      seen_m += (random.chance(0.5) ? 1 : -1) * senses.spike_m * random.between(0.5, 1.5);
    }
    if (senses.step_m > 0) seen_m = Math.round(seen_m / senses.step_m) * senses.step_m;
    if (held === 0 && senses.heldShare > 0 && random.chance(senses.heldShare))
      held = 1 + Math.floor(random.between(0, 10));
    again = held > 0;
    if (upset?.kind === "frozen" || held > 0) {
      held = Math.max(0, held - 1);
      if (!Number.isNaN(last_m)) return last_m;
    }
    if (upset?.kind === "code") return upset.level_m;
    if (random.chance(upset?.kind === "dropping" ? upset.share : senses.dropShare)) return null;
    last_m = seen_m;
    return seen_m;
  }

  function drifted_m(time_s: number): number {
    let sum_m = 0;
    for (const { from_s, to_s, what } of senses.upsets) {
      if (what.kind !== "drifting" || time_s < from_s) continue;
      sum_m += Math.min(1, (time_s - from_s) / (to_s - from_s)) * (what.by_m + what.share * plant.state.level_m);
    }
    return sum_m;
  }

  function contactSays(time_s: number, runs: boolean, switchedAt_s: number): boolean {
    const dead = senses.upsets.find(
      ({ from_s, to_s, what }) => what.kind === "contact-dead" && from_s <= time_s && time_s < to_s,
    )?.what;
    if (dead?.kind === "contact-dead") return dead.says;
    return time_s - switchedAt_s < senses.bounce_s ? random.chance(0.5) : runs;
  }

  function current_a(time_s: number, set: PumpSet): number {
    if (set === 0) return Math.max(0, senses.idle_a + 0.02 * random.normal());
    const inrush = time_s - plant.state.startedAt_s < inrush_s ? 4 : 1;
    return Math.max(0, senses.running_a * inrush * (1 + 0.02 * random.normal()));
  }

  const read = (time_s: number) => {
    const { state } = plant;
    const { set, switchedAt_s } = state;
    const firstAlone = has.has("pump2On") || senses.secondUnseen === true;
    if (state.level_m >= high_m) highFloat = true;
    else if (state.level_m < high_m - 0.03) highFloat = false;
    return {
      ...silentReading,
      level_m: has.has("level") ? level_m(time_s) : null,
      pumpOn: !has.has("pumpOn")
        ? null
        : firstAlone
          ? contactSays(time_s, set === 1 || set === 3, switchedAt_s[0])
          : contactSays(time_s, set !== 0, Math.max(...switchedAt_s)),
      pump2On: has.has("pump2On") ? contactSays(time_s, set === 2 || set === 3, switchedAt_s[1]) : null,
      floatOn: has.has("floatOn") ? state.contact : null,
      highFloat: has.has("highFloat") ? highFloat : null,
      pumpCurrent_a: has.has("current") ? current_a(time_s, set) : null,
      pumpPower_w: has.has("power") ? 115 * 0.7 * current_a(time_s, set) : null,
      mainsOn: has.has("mains") ? state.condition.power : null,
      temperature_c: has.has("temperature") ? senses.mean_c + 3 * Math.sin((2 * Math.PI * time_s) / 86_400) : null,
    };
  };
  return { read, saysAgain: () => again };
}

/** An error that wanders and comes back: Ornstein and Uhlenbeck's process at whatever times it is asked. */
function wander(sd: number, constant_s: number, random: Random): (time_s: number) => number {
  if (sd === 0) return () => 0;
  let value = sd * random.normal();
  let last_s = 0;
  return (time_s) => {
    const keep = Math.exp(-(time_s - last_s) / constant_s);
    value = keep * value + sd * Math.sqrt(1 - keep * keep) * random.normal();
    last_s = time_s;
    return value;
  };
}
