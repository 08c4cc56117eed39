// How far a replay's figures may well be off, by replays with what is not quite known a little other.

import type { ReplayInstallation } from "./installation.ts";
import type { ReplayOutcome } from "./outcome.ts";
import type { ReplayOptions } from "./replay.ts";

export interface Range {
  readonly low: number;
  readonly high: number;
}

/** 95 % coverage, of what is known of inflow, pumps and floats. */
export interface Ranges {
  readonly highestLevel_m: Range;
  readonly overflow_m3: Range;
  readonly starts: Range;
}

export interface Otherwise {
  play(as: ReplayInstallation, change: ReplayOptions): ReplayOutcome;
  /** The installation with pumps that move less (-1) or more (1), as far as may well be. */
  shifted(shift: -1 | 1): ReplayInstallation;
  /** Standard deviation of where the float closes. */
  readonly strays_m: number;
  /** How full the basin is when it matters is known. */
  readonly anchored: boolean;
}

const sigmas = 2;
/** The pump on duty holds the water where it stands no higher than so much above its start level. */
const held_m = 0.01;

/**
 * Joins, as roots of sums of squares, what changes when all the inflow is more or less by twice its standard uncertainty,
 * when the pumps move more or less, and how far a float strays. All stretches erring the same way is the worst that their
 * uncertainties allow, so the range is rather too wide.
 *
 * Where the water rises over the start level, it also matters how full the basin was when that began, which after many
 * cycles nothing tells: the widest of several beginnings counts.
 */
export function rangesOf(outcome: ReplayOutcome, installation: ReplayInstallation, other: Otherwise): Ranges {
  const estimates = [
    other.play(installation, { sigmas }),
    other.play(installation, { sigmas: -sigmas }),
    other.play(other.shifted(-1), {}),
    other.play(other.shifted(1), {}),
  ];
  const { pumps, overflowLevel_m } = installation;
  const held = outcome.highestLevel_m <= pumps[0].startLevel_m + held_m;
  const beginnings =
    other.anchored || held
      ? []
      : beginningsOf(installation).map((firstLevel_m) => other.play(installation, { firstLevel_m }));

  const range = (figure: (of: ReplayOutcome) => number, also = 0): Range => {
    const middle = figure(outcome);
    const away = (sign: 1 | -1) => {
      const off = (one: ReplayOutcome) => Math.max(0, sign * (figure(one) - middle));
      // What brings more water brings fewer starts in a flood: each way counts all that goes that way.
      return Math.hypot(also, ...estimates.map(off), Math.max(0, ...beginnings.map(off)));
    };
    return { low: middle - away(-1), high: middle + away(1) };
  };
  const level = range(({ highestLevel_m }) => highestLevel_m, sigmas * other.strays_m);
  const over = range(({ overflow_m3 }) => overflow_m3);
  const starts = range(({ starts: count }) => count);
  const rim_m = overflowLevel_m ?? Number.POSITIVE_INFINITY;
  return {
    highestLevel_m: { low: Math.min(level.low, rim_m), high: Math.min(level.high, rim_m) },
    overflow_m3: { low: Math.max(0, over.low), high: over.high },
    starts: { low: Math.max(0, Math.floor(starts.low)), high: Math.ceil(starts.high) },
  };
}

function beginningsOf({ pumps: [{ startLevel_m, stopLevel_m }] }: ReplayInstallation): number[] {
  return [0.02, 0.27, 0.52, 0.77].map((part) => stopLevel_m + part * (startLevel_m - stopLevel_m));
}
