// Everything that a record of inflow, with or without rain, says of storms: one entry for page, report and command line.
// Plain data; each part is worked out in a file of its own.

import type { InflowStretch } from "../analyzer.ts";
import { eckhardt } from "./base-flow.ts";
import { type ByProportion, byProportion } from "./by-proportion.ts";
import { calmBase } from "./calm-base.ts";
import { type DesignInflow, designStorm } from "./design-storm.ts";
import type { DesignStormSite } from "./design-storm-site.ts";
import { findStorms, type StormsFound } from "./find-storms.ts";
import { fitResponse, type RainResponse } from "./fit-response.ts";
import { type Governing, governing } from "./governing.ts";
import { type HowMuchIsSeen, howMuchIsSeen } from "./how-much-is-seen.ts";
import type { RainStretch } from "./rain.ts";
import type { Recession } from "./recession.ts";
import type { SeenStep } from "./seen-criteria.ts";
import type { Storm } from "./storm.ts";
import { peaksOfRecord } from "./storm-peaks.ts";
import { stormWords } from "./storm-words.ts";

export interface StormSite {
  /** Null: no storm of the tables was given. */
  readonly design: DesignStormSite | null;
  /** Allowance over the measured peak. */
  readonly inflowFactor: number;
  /** The highest means of the whole record as the analyzer kept them; absent: those of the stretches. */
  readonly peaks?: Storm["peaks"] | null;
  /** Of what is said in words; absent: both. */
  readonly displayUnits?: "us" | "metric";
}

export interface StormRecord {
  readonly from_s: number | null;
  readonly to_s: number | null;
  readonly observed_s: number;
  readonly storms: readonly Storm[];
  readonly masterRecession: Recession | null;
  readonly base: {
    /** What comes in before storms; without storms, half of the time. Null without inflow. */
    readonly inflow_m3s: number | null;
    readonly uInflow_m3s: number | null;
    /** Share of all the water that no storm brought; and the same by Eckhardt's filter, null before a recession is known. */
    readonly share: number | null;
    readonly shareByFilter: number | null;
  };
  readonly peaks: Storm["peaks"];
  readonly response: RainResponse | null;
  readonly design: DesignInflow | null;
  /** The same by pencil and paper, for its order of magnitude; null without a storm of the tables or without rain. */
  readonly byProportion: ByProportion | null;
  /** Why there is no design inflow; null when there is one. */
  readonly noDesign: string | null;
  readonly governing: Governing | null;
  readonly seen: HowMuchIsSeen;
}

/** Steps of the history of what was known: more would tell the same and take long. */
const mostSteps = 4;

/**
 * @param inflow in order of time, as the analyzer gives it; a gap is where no stretch is
 * @param rain   in order of time; null when it was not measured
 */
export function stormRecord(
  inflow: readonly InflowStretch[],
  rain: readonly RainStretch[] | null,
  site: StormSite,
): StormRecord {
  const found = findStorms(inflow, rain);
  const { storms, masterRecession } = found;
  const base = calmBase(found);
  const peaks = site.peaks ?? peaksOfRecord(inflow);
  const response = answerTo(found, storms, rain);
  const foretell = (answer: RainResponse | null): DesignInflow | null =>
    answer === null || site.design === null || rain === null ? null : designStorm(site.design, answer, base, rain);
  const design = foretell(response);
  const span = spanOf(inflow);
  const known = inflow.length > 0;
  const say = stormWords(site.displayUnits ?? null);
  const history = design === null ? [] : historyOf(found, rain, foretell, response, design);
  const highestHour_m3s = peaks[3600]?.inflow_m3s ?? null;
  return {
    ...span,
    storms,
    masterRecession,
    base: {
      inflow_m3s: known ? base.inflow_m3s : null,
      uInflow_m3s: known ? base.uInflow_m3s : null,
      ...sharesOf(found),
    },
    peaks,
    response,
    design,
    byProportion:
      site.design === null || rain === null
        ? null
        : byProportion(site.design, storms, rain, base.inflow_m3s, masterRecession, say),
    noDesign: design === null ? whyNot(site.design, rain, storms) : null,
    governing: governing(peaks[600], site.inflowFactor, design, say),
    seen: howMuchIsSeen({ ...span, storms, rain, highestHour_m3s, storm: site.design, design, history }, say),
  };
}

function spanOf(inflow: readonly InflowStretch[]): Pick<StormRecord, "from_s" | "to_s" | "observed_s"> {
  return {
    from_s: inflow[0]?.from_s ?? null,
    to_s: inflow[inflow.length - 1]?.to_s ?? null,
    observed_s: inflow.reduce((sum, { from_s, to_s }) => sum + to_s - from_s, 0),
  };
}

function answerTo(
  { course, masterRecession }: StormsFound,
  storms: readonly Storm[],
  rain: readonly RainStretch[] | null,
  near: RainResponse | null = null,
) {
  return course === null || rain === null ? null : fitResponse(storms, course, rain, masterRecession, near);
}

function whyNot(storm: DesignStormSite | null, rain: readonly RainStretch[] | null, storms: readonly Storm[]): string {
  if (storm === null) return "no storm of the rainfall tables is given (design: storm: in the site file)";
  if (rain === null) return "the rain was not logged or imported, so how the inflow answers rain is not known";
  if (storms.length === 0) return "no storm was seen yet";
  return "no storm was seen together with its rain yet";
}

/** What was known after the first storms with rain, after more, and now. */
function historyOf(
  found: StormsFound,
  rain: readonly RainStretch[] | null,
  foretell: (answer: RainResponse | null) => DesignInflow | null,
  answer: RainResponse | null,
  now: DesignInflow,
): SeenStep[] {
  const known = found.storms.filter((storm) => storm.rain !== null);
  const first = Math.max(1, known.length - mostSteps + 1);
  const steps: SeenStep[] = [];
  for (let count = first; count <= known.length; count += 1) {
    const last = known[count - 1] as Storm;
    const some = found.storms.filter(({ from_s }) => from_s <= last.from_s);
    const design = count === known.length ? now : foretell(answerTo(found, some, rain, answer));
    if (design === null) continue;
    const { inflow_m3s, high_m3s } = design.peaks[600];
    steps.push({ storms: count, at_s: last.to_s, inflow_m3s, reach: high_m3s / inflow_m3s - 1 });
  }
  return steps;
}

function sharesOf({ course, masterRecession }: StormsFound): { share: number | null; shareByFilter: number | null } {
  if (course === null) return { share: null, shareByFilter: null };
  let [all, base] = [0, 0];
  const known: number[] = [];
  course.value.forEach((flow, i) => {
    if (Number.isNaN(flow)) return;
    all += flow;
    base += Math.min(flow, course.base[i] as number);
    known.push(flow);
  });
  if (!(all > 0)) return { share: null, shareByFilter: null };
  if (masterRecession === null) return { share: base / all, shareByFilter: null };
  // What the storms' own recession takes off is not base: the base fades ten times as slowly. Judgement, no source.
  const filtered = eckhardt(known, Math.exp(-course.step_s / (10 * masterRecession.constant_s)), 0.8);
  return { share: base / all, shareByFilter: filtered.reduce((sum, flow) => sum + flow, 0) / all };
}
