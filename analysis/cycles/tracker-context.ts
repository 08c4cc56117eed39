// What the tracker of cycles is told from outside at the moment of use: the basin, how readings come, where results go.

import type { BasinGeometry } from "../geometry/basin.ts";
import type { BasinSite, MeasurementSite } from "../site.ts";
import type { Cycle, CycleStage, FlowEstimate } from "./cycle.ts";
import type { TwoFloats } from "./two-pumps/called-by.ts";

export interface TrackerOutput {
  cycle(cycle: Cycle, stage: CycleStage): void;
  /** Water moved by a settled run, null if unknown; and what is unsure of it by how long the run was. */
  pumped(cycle: Cycle, volume_m3: number | null, uLength_m3?: number): void;
  /** Water moved by a run that the level alone shows, within what the pump's signal says was a rest; with its standard uncertainty. */
  unwatched(volume_m3: number, uVolume_m3: number): void;
  /**
   * Inflow over equal parts of a stretch of time that follows the one before, or unknown (null).
   *
   * @param standsIn it shows nothing itself, and is given the inflow known before
   */
  inflow(from_s: number, to_s: number, parts: readonly FlowEstimate[] | null, standsIn?: boolean): void;
  /** Of a rest that was not seen as a whole, by the floats alone: what came in, with its standard uncertainty, in a time already unknown. */
  partOfRest(length_s: number, volume_m3: number, uVolume_m3: number): void;
  /** Of a long run nothing tells what came in: it may be as much as the pump moves. */
  unknown(run_s: number): void;
  start(time_s: number): void;
  /** It is known now that a leap of the level by so much, not long ago, was the sensor's, and no inflow. */
  leapt(volume_m3: number): void;
}

export interface TrackerContext {
  readonly basin: BasinSite;
  readonly geometry: BasinGeometry;
  /** What is stated of how well things are known, if anything is. */
  readonly measurement?: MeasurementSite | null;
  /** What the discharge holds; null or absent: it is not given. */
  readonly pipeHolds_m3?: number | null;
  /** Typical interval between readings: an edge is known no better. */
  readonly interval_s: number;
  /** The signal tells of each change as it happens, between levels that come by the clock; absent: at a reading. */
  readonly exactEdges?: boolean;
  /** By how much, at the most, a bouncing contact may have hidden the latest change; absent: not at all. */
  readonly hidden_s?: number;
  /** Where a second pump starts that the site file states and nothing tells of; null or absent: there is none, or that is not stated. */
  readonly unheardStart_m?: number | null;
  /** Where the second of two pumps is called, as the site file states it. */
  readonly upperStart_m?: number | null;
  /** Where the floats of two pumps call them; null or absent: that is not stated. */
  readonly floats?: TwoFloats | null;
  /** Of two pumps each has its share of the starts; absent: they do not take turns. */
  readonly takesTurns?: boolean;
  /** Runs are read off the level. */
  readonly inferred: boolean;
  /** A contact that is believed says that the pump rests, whether or not its runs are read off the level; absent: none does. */
  readonly signalRests?: boolean;
  /** Mean length of the latest runs; NaN before the first. */
  readonly typicalRun_s: number;
  /** A level has been read, and nothing is known to be wrong with it now. */
  readonly hasLevel: boolean;
  /** An interval that one in twenty exceeds. */
  readonly longInterval_s: number;
  /** Smallest step of the level sensor; Infinity before any is seen. */
  readonly resolution_m: number;
  /** Standard deviation of a level, where runs are read off it; absent: not known. */
  readonly levelNoise_m?: number;
  /** Of the levels, the share of those that are as the one before; absent: not known. */
  readonly equalShare?: number;
  /** Time in which a signal has said that the pump runs; null or absent without a signal. */
  readonly signalRun_s?: number | null;
  /** Readings are too far apart now to follow the runs one by one. */
  readonly byShare?: boolean;
  /** The pump has been seen to run on through what looks like a rest by the level alone; absent: it has not. */
  readonly keptDown?: boolean;
  /** The level stood where it was through the run that ended last, and shows nothing of it, nor of the rest after; absent: it moved. */
  readonly levelStood?: boolean;
  /** How often the pump's float has opened for a moment between two times, beside a level that shows the runs; absent: never. */
  readonly floatBobs?: (from_s: number, to_s: number) => number;
  /** The level jumps about more than water can. */
  readonly levelTosses?: boolean;
  /** The latest cycles are each as long as the others. */
  readonly runsEvenly?: boolean;
  readonly output: TrackerOutput;
}

/** Runs are read off the level, and no signal says meanwhile for how long the pump ran. */
export function byLevelAlone({ inferred, signalRun_s }: TrackerContext): boolean {
  return inferred && signalRun_s == null;
}

/**
 * Standard uncertainty of a length between two edges, each somewhere within one interval between readings (uniform: GUM
 * 4.3.7), and each as late or early as is stated.
 */
export function uEdges_s({ interval_s, measurement }: TrackerContext): number {
  const sampled_s = Number.isFinite(interval_s) ? interval_s / Math.sqrt(6) : 0;
  const stated_s = measurement?.uEdge_s ?? 0;
  return stated_s > 0 ? Math.hypot(sampled_s, Math.SQRT2 * stated_s) : sampled_s;
}

/** A switch that is seen at a reading happened, on the average, half an interval before. */
export function edgeDelay_s({ interval_s, inferred }: TrackerContext): number {
  return inferred || !Number.isFinite(interval_s) ? 0 : interval_s / 2;
}

/** Readings so far apart miss most short runs, and stretch those that they catch. */
export const farApart_s = 20;

/**
 * Runs about as short as the readings are apart have an unknown length, and so an unknown rate. Judged by the usual run:
 * leaving out only those that happen to look short would make the others' mean wrong.
 */
export function lengthUnknown(run_s: number, context: TrackerContext): boolean {
  const usual_s = Number.isFinite(context.typicalRun_s) ? context.typicalRun_s : run_s;
  const tooCoarse = context.interval_s >= farApart_s && uEdges_s(context) > 0.2 * run_s;
  return tooCoarse || uEdges_s(context) > (context.inferred ? 0.1 : 0.3) * usual_s;
}
