// What the board's sensors make of the basin: noise, steps, ripples, spikes, drop-outs, a motor's current. The faults of
// instruments belong here, those of the basin in basin-model.ts.

import type { Reading } from "../../../analysis/readings/reading.ts";
import { silentReading } from "../../../analysis/readings/reading.ts";
import type { BasinState } from "./basin-model.ts";
import type { Random } from "./random.ts";

export interface SensorOptions {
  /** Standard deviation of the level's noise. */
  readonly levelNoise_m?: number;
  /** Smallest difference that the level sensor shows. */
  readonly levelStep_m?: number;
  /** Standard deviation of an error that wanders slowly (warmth, mist), forgotten over `wander_s`. */
  readonly wander_m?: number;
  readonly wander_s?: number;
  /** Height of the waves after the pump has started or stopped; they die away over a few seconds. */
  readonly ripple_m?: number;
  /** Share of readings that are off by `spike_m`, up or down. */
  readonly spikeShare?: number;
  readonly spike_m?: number;
  /** Share of readings at which the level drops out, for `dropOut_s` each time. */
  readonly dropOutShare?: number;
  readonly dropOut_s?: number;
  /** From this time on the level repeats its last value. */
  readonly frozen?: (time_s: number) => boolean;
}

const rippleDecay_s = 3;
const ripplePeriod_s = 0.9;
/** A third-horsepower motor on 120 V, figures of our own: at rest, at full flow, and for a moment when it starts. */
const motor = {
  idle_a: 4.2,
  fullFlow_a: 6.8,
  fullFlow_m3s: 0.0025,
  inrush_a: 14,
  inrush_s: 0.4,
  supply_v: 120,
  powerFactor: 0.7,
};

/** Reads every channel at the state's time; rain and temperature are the caller's to add. */
export function sensors(options: SensorOptions, random: Random): (state: Readonly<BasinState>) => Reading {
  const { levelNoise_m = 0.0015, levelStep_m = 0.0001, ripple_m = 0.004 } = options;
  const { wander_m = 0, wander_s = 60 } = options;
  const { spikeShare = 0, spike_m = 0.05, dropOutShare = 0, dropOut_s = 5, frozen = () => false } = options;
  let phase = 0;
  let phaseOf_s = Number.NaN;
  let wandered_m = random.normal(wander_m);
  let wanderedAt_s = Number.NaN;
  let silentUntil_s = Number.NEGATIVE_INFINITY;
  let lastLevel_m: number | null = null;

  function ripple(state: Readonly<BasinState>): number {
    if (state.pumpSince_s !== phaseOf_s) {
      phaseOf_s = state.pumpSince_s;
      phase = 2 * Math.PI * random.uniform();
    }
    const age_s = state.time_s - state.pumpSince_s;
    return ripple_m * Math.exp(-age_s / rippleDecay_s) * Math.sin((2 * Math.PI * age_s) / ripplePeriod_s + phase);
  }

  function wander(time_s: number): number {
    if (wander_m === 0) return 0;
    const kept = Number.isNaN(wanderedAt_s) ? 1 : Math.exp(-(time_s - wanderedAt_s) / wander_s);
    wandered_m = kept * wandered_m + random.normal(wander_m * Math.sqrt(1 - kept * kept));
    wanderedAt_s = time_s;
    return wandered_m;
  }

  function level(state: Readonly<BasinState>): number | null {
    if (frozen(state.time_s)) return lastLevel_m;
    const spike = random.uniform() < spikeShare ? (random.uniform() < 0.5 ? -spike_m : spike_m) : 0;
    const seen_m = state.level_m + random.normal(levelNoise_m) + wander(state.time_s) + ripple(state) + spike;
    if (dropOutShare > 0 && random.uniform() < dropOutShare) silentUntil_s = state.time_s + dropOut_s;
    if (state.time_s < silentUntil_s) return null;
    lastLevel_m = levelStep_m > 0 ? Math.round(seen_m / levelStep_m) * levelStep_m : seen_m;
    return lastLevel_m;
  }

  return (state) => {
    const current_a = motorCurrent_a(state, random);
    return {
      ...silentReading,
      time_s: state.time_s,
      level_m: level(state),
      pumpOn: state.pumpOn,
      floatOn: state.floatOn,
      highFloat: state.highFloat,
      pumpCurrent_a: current_a,
      pumpPower_w: current_a * motor.supply_v * motor.powerFactor,
      mainsOn: state.mainsOn,
    };
  };
}

function motorCurrent_a(state: Readonly<BasinState>, random: Random): number {
  if (!state.pumpOn) return 0;
  if (state.time_s - state.pumpSince_s < motor.inrush_s) return motor.inrush_a;
  const load = Math.min(1, state.pumpFlow_m3s / motor.fullFlow_m3s);
  return Math.round((motor.idle_a + (motor.fullFlow_a - motor.idle_a) * load + random.normal(0.05)) * 100) / 100;
}
