// One candidate against an inflow: when its power cuts come, the replay, and the range that its figures may well have.

import type { InflowStretch } from "../analyzer.ts";
import type { Site } from "../site.ts";
import { buildInstallation } from "./build-installation.ts";
import type { ReplayInstallation } from "./installation.ts";
import type { ReplayOutcome } from "./outcome.ts";
import type { Grounds, KnownInstallation, PlannedCut, WhatIfPlan } from "./plan.ts";
import type { PowerCut } from "./power-cuts.ts";
import { type Ranges, rangesOf } from "./ranges.ts";
import { recordedAnchor } from "./recorded-level.ts";
import { type Anchor, type ReplayOptions, replayInflow } from "./replay.ts";
import { worstMoment } from "./worst-moment.ts";

export interface WhatIfRow {
  readonly name: string;
  /** Null where something is missing. */
  readonly outcome: ReplayOutcome | null;
  readonly ranges: Ranges | null;
  readonly grounds: Grounds | null;
  /** The cuts of the plan, as they came out. */
  readonly cuts: readonly PowerCut[];
  /** Keys of the site file or of the candidate, with what is expected. */
  readonly missing: readonly string[];
}

export interface WhatIfOptions {
  /** Power cuts that happened, and do so in every replay. */
  readonly recordedCuts?: readonly PowerCut[];
  /** Where the water stood at the beginning; null: at the stop level. */
  readonly firstLevel_m?: number | null;
  /** False: only the figures themselves are worked out, in a fifth of the time or less. */
  readonly ranges?: boolean;
  /** As `replayInflow`'s. */
  readonly onPoint?: ReplayOptions["onPoint"];
}

/**
 * Replays a candidate.
 *
 * @param inflow without gaps, or with gaps to be left out
 * @param known  what the recording taught of the installation that is there; null: nothing
 */
export function whatIf(
  asPlanned: WhatIfPlan,
  inflow: readonly InflowStretch[],
  known: KnownInstallation | null,
  options: WhatIfOptions = {},
): WhatIfRow {
  const { recordedCuts = [], firstLevel_m = null, onPoint } = options;
  const plan = withoutIdleBattery(asPlanned, recordedCuts);
  const nothing = { name: plan.name, outcome: null, ranges: null, grounds: null, cuts: [] };
  const built = buildInstallation(plan, known);
  if (!built.ok) return { ...nothing, missing: built.missing };
  const { installation, grounds } = built;
  const found = plan.cuts.map((cut) => moment(cut, inflow, installation, recordedCuts, firstLevel_m));
  const cuts = found.flatMap((cut) => ("missing" in cut ? [] : [cut]));
  if (cuts.length < found.length) {
    return { ...nothing, missing: found.flatMap((cut) => ("missing" in cut ? [cut.missing] : [])) };
  }
  const usual = {
    powerCuts: [...recordedCuts, ...cuts],
    firstLevel_m,
    anchors: known === null ? [] : asRecordedBefore(cuts, plan, known, inflow),
  };
  const outcome = replayInflow(inflow, installation, { ...usual, ...(onPoint && { onPoint }) });
  // How full the basin is at its worst moment, that moment says, however the figures stray.
  const worst = cuts.flatMap(({ from_s, level_m }) =>
    level_m === null ? [] : [{ time_s: from_s, level_m, calls: false }],
  );
  const anchors = [...usual.anchors, ...worst].sort((a, b) => a.time_s - b.time_s);
  const play = (as: ReplayInstallation, change: ReplayOptions) =>
    replayInflow(inflow, as, { ...usual, anchors, ...change });
  const shifted = (shift: -1 | 1) => {
    const other = buildInstallation(plan, known, shift);
    return other.ok ? other.installation : installation;
  };
  const strays_m = known?.floats?.scatter_m ?? 0;
  const ranges =
    options.ranges === false
      ? null
      : rangesOf(outcome, installation, { play, shifted, strays_m, anchored: anchors.length > 0 });
  return {
    name: plan.name,
    outcome,
    ranges,
    grounds,
    cuts: cuts.map(({ from_s, to_s }) => ({ from_s, to_s })),
    missing: [],
  };
}

/** A battery that nothing calls for need not be known. */
function withoutIdleBattery(plan: WhatIfPlan, recordedCuts: readonly PowerCut[]): WhatIfPlan {
  if (plan.cuts.length > 0 || recordedCuts.length > 0 || plan.onBattery.only) return plan;
  return { ...plan, site: { ...plan.site, backup: null } };
}

/** `level_m`: where the water stands as the worst one begins; null of one at a given time. */
type Moment = (PowerCut & { readonly level_m: number | null }) | { readonly missing: string };

function moment(
  { lasts_s, at_s }: PlannedCut,
  inflow: readonly InflowStretch[],
  installation: ReplayInstallation,
  recordedCuts: readonly PowerCut[],
  firstLevel_m: number | null,
): Moment {
  if (at_s === "worst") {
    const missing = "power_cut.lasts: expected less than the inflow that is replayed, found more";
    return worstMoment(inflow, installation, lasts_s, recordedCuts, firstLevel_m) ?? { missing };
  }
  const [from_s, to_s] = [inflow[0]?.from_s ?? 0, inflow.at(-1)?.to_s ?? 0];
  if (at_s < to_s && at_s + lasts_s > from_s) return { from_s: at_s, to_s: at_s + lasts_s, level_m: null };
  const [first, last, at] = [from_s, to_s, at_s].map((time_s) => new Date(time_s * 1000).toISOString());
  return { missing: `power_cut.at: expected a time in what is replayed, ${first} to ${last}, found ${at}` };
}

/** Of an installation that is as it was: how the water stood as the first cut came; from there on it goes its own way. */
function asRecordedBefore(
  cuts: readonly PowerCut[],
  plan: WhatIfPlan,
  known: KnownInstallation,
  inflow: readonly InflowStretch[],
): Anchor[] {
  const given = plan.cuts.length > 0 && plan.cuts.every(({ at_s }) => at_s !== "worst");
  if (!given || !isAsItWas(plan, known)) return [];
  const anchor = recordedAnchor(Math.min(...cuts.map(({ from_s }) => from_s)), known.turns, inflow);
  return anchor === null ? [] : [anchor];
}

/** Nothing is another that moves water while the mains are on. */
function isAsItWas({ site, groundHead_m, takesTurns }: WhatIfPlan, { site: was }: KnownInstallation): boolean {
  const water = ({ basin, pump, pumps, discharge }: Site) => JSON.stringify([basin, pump, pumps, discharge]);
  return groundHead_m === null && !takesTurns && site.pumps === undefined && water(site) === water(was);
}
