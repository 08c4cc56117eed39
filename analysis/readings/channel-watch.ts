// The channels beside level and contact watched: one that stands still while the pump goes on and off is dead, and one
// may say what cannot be. Whether that is a finding is decided by the rules.

import type { Reading } from "./reading.ts";
import { forgetStand, newSlowChannel, noteRain, noteTemperature, type SlowChannelState } from "./slow-channel.ts";

type OfPump = "floatOn" | "pumpCurrent_a" | "pumpPower_w" | "mainsOn";
type Slow = "temperature_c" | "rain_m";
export type WatchedChannel = OfPump | Slow;

export type ChannelProblem = "frozen" | "out-of-range" | "contradicted";

interface Watched {
  value: number | null;
  /** The pump has run since the value last changed, or since its last rest was counted. */
  ran: boolean;
  /** Runs, each with the rest after it, through which the value stood still. */
  unmoved: number;
}

export interface ChannelWatchState extends Record<OfPump, Watched>, Record<Slow, SlowChannelState> {
  running: boolean | null;
}

export function newChannelWatch(): ChannelWatchState {
  const unseen = (): Watched => ({ value: null, ran: false, unmoved: 0 });
  return {
    floatOn: unseen(),
    pumpCurrent_a: unseen(),
    pumpPower_w: unseen(),
    mainsOn: unseen(),
    temperature_c: newSlowChannel(),
    rain_m: newSlowChannel(),
    running: null,
  };
}

/** A float or a motor's load that did not move through so many cycles is not connected to the pump. */
const deadAfter = 6;
/** The first of these runs may have been ended by the outage itself. */
const runsWithoutMains = 3;
/** What basements, cloudbursts and the motors of this trade do not exceed; common practice, no source. */
const ranges: Readonly<Partial<Record<WatchedChannel, readonly [number, number]>>> = {
  pumpCurrent_a: [-0.5, 100],
  pumpPower_w: [-50, 20_000],
  // Beyond it lie the codes of thermometers that failed: 85 °C and −127 °C.
  temperature_c: [-40, 80],
  rain_m: [0, 0.5],
};

/**
 * Takes a reading.
 *
 * @param running  whether the pump runs, by the contact or the level; null if unknown
 * @param signal   the channel that is the pump's signal, and is judged as such; null without one
 * @param inferred runs are read off the level
 * @param within   where a run has just ended: the channels were read while it lasted …
 * @param asked    the float is, at each reading; else `noteUnmoved` counts
 */
export function noteChannels(
  state: ChannelWatchState,
  reading: Reading,
  running: boolean | null,
  signal: keyof Reading | null,
  inferred: boolean,
  within = true,
  asked = true,
): void {
  if (reading.floatOn !== null && signal !== "floatOn")
    note(state.floatOn, Number(reading.floatOn), running, within && asked);
  if (reading.pumpCurrent_a !== null)
    note(state.pumpCurrent_a, reading.pumpCurrent_a, signal === "pumpCurrent_a" ? null : running, within);
  if (reading.pumpPower_w !== null)
    note(state.pumpPower_w, reading.pumpPower_w, signal === "pumpPower_w" ? null : running, within);
  // Runs that are read off the level may be those of a pump with a battery of its own.
  if (reading.mainsOn !== null) note(state.mainsOn, Number(reading.mainsOn), inferred ? null : running, within);
  const starts = running === true && state.running === false;
  state.running = running;
  if (starts || reading.temperature_c !== null)
    noteTemperature(state.temperature_c, reading.time_s, reading.temperature_c, starts);
  if (starts || reading.rain_m !== null) noteRain(state.rain_m, reading.time_s, reading.rain_m, starts);
}

/** A run is over in which the float was asked, of one that is asked seldom: any row that says otherwise begins the count anew. */
export function noteUnmoved({ floatOn }: ChannelWatchState): void {
  if (floatOn.value !== null) floatOn.unmoved += 1;
}

/** After a gap a run that was under way is no run that was seen to end. */
export function forgetRuns(state: ChannelWatchState): void {
  for (const channel of ["floatOn", "pumpCurrent_a", "pumpPower_w", "mainsOn"] as const) state[channel].ran = false;
  forgetStand(state.temperature_c);
  forgetStand(state.rain_m);
  state.running = null;
}

export function channelProblem(state: ChannelWatchState, channel: WatchedChannel): ChannelProblem | null {
  const { value } = state[channel];
  if (value === null) return null;
  if (channel === "mainsOn") return value === 0 && state.mainsOn.unmoved >= runsWithoutMains ? "contradicted" : null;
  const range = ranges[channel];
  if (range !== undefined && !(value >= range[0] && value <= range[1])) return "out-of-range";
  return standsStill(state, channel) ? "frozen" : null;
}

function standsStill(state: ChannelWatchState, channel: Exclude<WatchedChannel, "mainsOn">): boolean {
  return isSlow(channel) ? state[channel].stuck : state[channel].unmoved >= deadAfter;
}

/** Runs of the pump through which the channel has stood still. */
export function unmovedRuns(state: ChannelWatchState, channel: WatchedChannel): number {
  return isSlow(channel) ? state[channel].starts : state[channel].unmoved;
}

export function isSlow(channel: WatchedChannel): channel is Slow {
  return channel === "temperature_c" || channel === "rain_m";
}

/** Asked at every reading: few recordings have any of them. */
export function anyChannelProblem(state: ChannelWatchState): boolean {
  return (
    (state.floatOn.value !== null && channelProblem(state, "floatOn") !== null) ||
    (state.pumpCurrent_a.value !== null && channelProblem(state, "pumpCurrent_a") !== null) ||
    (state.pumpPower_w.value !== null && channelProblem(state, "pumpPower_w") !== null) ||
    (state.mainsOn.value !== null && channelProblem(state, "mainsOn") !== null) ||
    (state.temperature_c.value !== null && channelProblem(state, "temperature_c") !== null) ||
    (state.rain_m.value !== null && channelProblem(state, "rain_m") !== null)
  );
}

function note(watched: Watched, value: number, running: boolean | null, within: boolean): void {
  if (value !== watched.value) {
    watched.value = value;
    watched.ran = false;
    watched.unmoved = 0;
  } else if (running === true) watched.ran = true;
  else if (running === false && watched.ran) {
    watched.ran = false;
    if (within) watched.unmoved += 1;
  }
}
