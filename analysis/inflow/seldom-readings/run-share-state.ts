// What is remembered where readings are too far apart to follow the runs one by one, and what others may ask of it.

import type { Cycle, FlowEstimate } from "../../cycles/cycle.ts";
import type { Times } from "../../cycles/two-pumps/pumps-as-one.ts";
import type { OverFloats } from "./over-floats.ts";
import type { Mark } from "./over-stretch.ts";
import type { ShownByCycles } from "./pump-by-cycles.ts";
import type { StartsOfStretch } from "./reckoned-starts.ts";
import { newSampledContact, type SampledContactState } from "./sampled-contact.ts";

export interface RunShareState {
  /** Latest readings, oldest first. */
  marks: Mark[];
  on: boolean | null;
  /** … and how much the two that ran then moved; absent: one alone is as much as there is. */
  times?: Times;
  fell: boolean;
  /** What the pump moves, as the cycles that were followed have shown it; null before any were. */
  pump: FlowEstimate | null;
  /** … as those show it by themselves; absent before any did. */
  shown?: ShownByCycles;
  /** How well those follow of late (see `Followed` in follow-cycles.ts); absent: none did, by the pump that is known. */
  fits?: number;
  /** What was known at the end of each of the latest stretches that were followed one after the other, oldest first. */
  ends: FollowedTo[];
  /** Where the stretch in progress begins; null while rests and runs tell the inflow themselves. */
  from: Mark | null;
  /** Up to here it is handed on. */
  upTo_s: number;
  /** Rests in a row that showed nothing, and had the inflow known before. */
  standIns: number;
  /** … one after the other, up to the latest, and whether it stood in for what was handed on last; absent: for none. */
  stoodIn?: { readonly rests: number; readonly last: boolean };
  /** Of the newest stretch. */
  flow: FlowEstimate | null;
  /** How often the pump started, where the cycles of the last hour were followed. */
  reckoned: StartsOfStretch[];
  /** … without a level. */
  readonly contact: SampledContactState;
  /** The water stands over where the pump starts; absent: it does not. */
  over?: OverFloats;
}

interface FollowedTo {
  readonly time_s: number;
  readonly pump: FlowEstimate;
  readonly flow_m3s: number;
  /** A storm seemed to cease at once, and little has come since: the pump may have held it all the time. */
  readonly ceased?: true;
}

export function newRunShare(): RunShareState {
  return {
    marks: [],
    on: null,
    fell: false,
    pump: null,
    ends: [],
    from: null,
    upTo_s: Number.NEGATIVE_INFINITY,
    standIns: 0,
    flow: null,
    reckoned: [],
    contact: newSampledContact(),
  };
}

export interface SparseReading {
  readonly time_s: number;
  readonly volume_m3: number;
  readonly on: boolean | null;
  /** Of two pumps: how many times as much those move that run as the one of the context by itself; absent: as much. */
  readonly times?: Times;
  /** Both run. */
  readonly helped?: true;
}

/** The inflow is told by the share of time now, or by the cycles between those runs that a contact alone has seen. */
export function byShare({ from, contact }: RunShareState): boolean {
  return from !== null || contact.active;
}

/** A rest of fewer intervals shows no slope. */
const fewestOfRest = 3;

/**
 * Whether a rest may hold runs that no reading saw. With one of them it would look as if there had come in the less by what
 * lies between the floats: not where that is far from what the latest cycles have brought.
 */
export function mayHideRuns(
  { flow }: RunShareState,
  { inflow, rest_s }: Pick<Cycle, "inflow" | "rest_s">,
  interval_s: number,
  active_m3: number | null,
): boolean {
  if (inflow === null || rest_s === null || flow === null || active_m3 === null) return true;
  if (rest_s < fewestOfRest * interval_s) return true;
  return flow.flow_m3s - inflow.flow_m3s > active_m3 / (2 * rest_s);
}

const late_s = 7200;

/**
 * What came in of late, as far as cycles were followed by the level alone: the newest and those of the last two hours, for
 * where a storm has come up to what the pump moves the water hardly moves, and looks as it does at rest. Null: not known.
 */
export function followedOfLate({ from, flow, ends }: RunShareState, time_s: number) {
  const late: (Pick<FlowEstimate, "flow_m3s"> | null)[] = ends.filter((end) => time_s - end.time_s < late_s);
  return from === null ? late : [...late, flow];
}
