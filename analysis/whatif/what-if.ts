// Several candidates against the same inflow, each with the range that its figures may well have.

import type { InflowStretch } from "../analyzer.ts";
import type { Site } from "../site.ts";
import { type Built, buildInstallation } from "./build-installation.ts";
import type { ReplayInstallation } from "./installation.ts";
import type { ReplayOutcome } from "./outcome.ts";
import type { Grounds, KnownInstallation, PlannedCut, WhatIfPlan } from "./plan.ts";
import type { PowerCut } from "./power-cuts.ts";
import { type Anchor, type ReplayOptions, replayInflow } from "./replay.ts";
import { worstMoment } from "./worst-moment.ts";

export interface Range {
  readonly low: number;
  readonly high: number;
}

export interface WhatIfRow {
  readonly name: string;
  /** Null where something is missing. */
  readonly outcome: ReplayOutcome | null;
  /** 95 % coverage, of what is known of inflow, pump and floats. */
  readonly ranges: { readonly highestLevel_m: Range; readonly overflow_m3: Range; readonly starts: Range } | null;
  readonly grounds: Grounds | null;
  /** The cuts of the plan, as they came out. */
  readonly cuts: readonly PowerCut[];
  /** Keys of the site file with what is expected. */
  readonly missing: readonly string[];
}

export interface WhatIfOptions {
  /** Power cuts that happened, and do so in every replay. */
  readonly recordedCuts?: readonly PowerCut[];
  /** Where the water stood at the beginning; null: at the stop level. */
  readonly firstLevel_m?: number | null;
  /** Without it only the figures themselves are worked out, in a fifth of the time. */
  readonly ranges?: boolean;
  readonly onPoint?: ReplayOptions["onPoint"];
}

const sigmas = 2;

/**
 * Replays one candidate.
 *
 * The range joins, as roots of sums of squares, what changes when all the inflow is more or less by twice its
 * standard uncertainty, when the pumps move more or less, when the basin is fuller or emptier at the beginning, and how
 * far a float strays. All stretches erring the same way is
 * the worst that their uncertainties allow, so the range is rather too wide.
 *
 * @param inflow without gaps, or with gaps to be left out
 */
export function whatIf(
  plan: WhatIfPlan,
  inflow: readonly InflowStretch[],
  known: KnownInstallation | null,
  options: WhatIfOptions = {},
): WhatIfRow {
  const built = buildInstallation(plan, known);
  const nothing = { outcome: null, ranges: null, grounds: null, cuts: [] };
  if (!built.ok) return { name: plan.name, ...nothing, missing: built.missing };
  const { recordedCuts = [], firstLevel_m = null, onPoint } = options;
  const cuts = plan.cuts.map((cut) => whenever(cut, inflow, built.installation, recordedCuts, firstLevel_m));
  const missing = cuts.flatMap((cut) => (cut === null ? [tooLong] : []));
  if (missing.length > 0) return { name: plan.name, ...nothing, missing };
  const known_s = cuts.filter((cut) => cut !== null);
  const powerCuts = [...recordedCuts, ...known_s];
  // How full the basin is at the worst moment, that moment says.
  const atATime = plan.cuts.length > 0 && plan.cuts.every(({ at_s }) => at_s !== "worst");
  const anchors = known !== null && atATime && isAsItWas(plan, known) ? known.stops : [];
  const usual = { powerCuts, firstLevel_m, anchors: before(anchors, known_s) };
  const outcome = replayInflow(inflow, built.installation, { ...usual, ...(onPoint && { onPoint }) });
  const play = (as: ReplayInstallation, change: ReplayOptions = {}) =>
    replayInflow(inflow, as, { ...usual, ...change });
  const shifted = (shift: -1 | 1) => {
    const other: Built = buildInstallation(plan, known, shift);
    return play(other.ok ? other.installation : built.installation);
  };
  const others = () => ({
    estimates: [
      play(built.installation, { sigmas }),
      play(built.installation, { sigmas: -sigmas }),
      shifted(-1),
      shifted(1),
    ],
    phases: phaseMatters(outcome, built.installation, usual.anchors)
      ? phasesOf(built.installation).map((first_m) => play(built.installation, { firstLevel_m: first_m }))
      : [],
    floats_m: built.grounds.startFrom === "measured" ? sigmas * (known?.floats?.scatter_m ?? 0) : 0,
  });
  const ranges = options.ranges === false ? null : rangesOf(outcome, others(), built.installation.overflowLevel_m);
  return { name: plan.name, outcome, ranges, grounds: built.grounds, cuts: known_s, missing: [] };
}

const tooLong = "power_cut: expected one shorter than the inflow that is replayed, found a longer one";

function whenever(
  { lasts_s, at_s }: PlannedCut,
  inflow: readonly InflowStretch[],
  installation: ReplayInstallation,
  recordedCuts: readonly PowerCut[],
  firstLevel_m: number | null,
): PowerCut | null {
  if (at_s !== "worst") return { from_s: at_s, to_s: at_s + lasts_s };
  return worstMoment(inflow, installation, lasts_s, recordedCuts, firstLevel_m);
}

/** Where the pump on duty always held the water, it stood no higher for having begun elsewhere. */
function phaseMatters(
  { highestLevel_m }: ReplayOutcome,
  { pumps }: ReplayInstallation,
  anchors: readonly Anchor[],
): boolean {
  return anchors.length === 0 && highestLevel_m > pumps[0].startLevel_m + held_m;
}

const held_m = 0.01;

/**
 * After many cycles nothing tells any more whether the basin was just filled or just emptied when the storm came: it is
 * tried both ways and between.
 */
function phasesOf({ pumps: [{ startLevel_m, stopLevel_m }] }: ReplayInstallation): number[] {
  return [0.02, 0.27, 0.52, 0.77].map((part) => stopLevel_m + part * (startLevel_m - stopLevel_m));
}

/** The last stop before the first cut, from which on the water goes its own way: how full the basin is then is known. */
function before(anchors: readonly Anchor[], cuts: readonly PowerCut[]): Anchor[] {
  const first_s = Math.min(...cuts.map(({ from_s }) => from_s));
  return anchors.filter(({ time_s }) => time_s < first_s).slice(-1);
}

/** Nothing is another that moves water while the mains are on. */
function isAsItWas({ site, groundHead_m, takesTurns }: WhatIfPlan, { site: was }: KnownInstallation): boolean {
  const water = ({ basin, pump, pumps, discharge }: Site) => JSON.stringify([basin, pump, pumps, discharge]);
  return groundHead_m === null && !takesTurns && site.pumps === undefined && water(site) === water(was);
}

interface Others {
  readonly estimates: readonly ReplayOutcome[];
  readonly phases: readonly ReplayOutcome[];
  readonly floats_m: number;
}

function rangesOf(outcome: ReplayOutcome, others: Others, rim_m: number | null): NonNullable<WhatIfRow["ranges"]> {
  const range = (figure: (of: ReplayOutcome) => number, also = 0): Range => {
    const middle = figure(outcome);
    const away = (sign: 1 | -1) => {
      const off = (other: ReplayOutcome) => Math.max(0, sign * (figure(other) - middle));
      // What brings more water brings fewer starts in a flood: each way counts all that goes that way.
      return Math.hypot(also, ...others.estimates.map(off), Math.max(0, ...others.phases.map(off)));
    };
    return { low: middle - away(-1), high: middle + away(1) };
  };
  const level = range(({ highestLevel_m }) => highestLevel_m, others.floats_m);
  const over = range(({ overflow_m3 }) => overflow_m3);
  const starts = range(({ starts }) => starts);
  const rim = rim_m ?? Number.POSITIVE_INFINITY;
  return {
    highestLevel_m: { low: Math.min(level.low, rim), high: Math.min(level.high, rim) },
    overflow_m3: { low: Math.max(0, over.low), high: over.high },
    starts: { low: Math.max(0, Math.floor(starts.low)), high: Math.ceil(starts.high) },
  };
}
