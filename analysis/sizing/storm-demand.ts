// What the record's storms and the storm to hold give to sizing; the science is in analysis/storms/.

import type { FlowEstimate } from "../cycles/cycle.ts";
import { iso } from "../report/summarize.ts";
import type { Site } from "../site.ts";
import { normalQuantile } from "../statistics/normal-quantile.ts";
import type { DesignInflow } from "../storms/design-storm.ts";
import type { Storm } from "../storms/storm.ts";
import { type StormRecord, stormRecord } from "../storms/storm-record.ts";
import { fromSi } from "../units/unit.ts";
import { twoFigures, type Words, words } from "../units/words.ts";
import type { SizingRequired } from "./answer/demand.ts";
import type { HandStep } from "./answer/figures.ts";
import type { LoggedRecord } from "./request.ts";
import type { SizingSeen, SizingStorm } from "./sizing-answer.ts";
import { half, lpm } from "./to-answer.ts";
import { wettestHour } from "./wettest-hour.ts";

export interface StormDemand {
  readonly storms: readonly SizingStorm[];
  readonly seen: SizingSeen | null;
  /** Inflow between storms. */
  readonly dry: FlowEstimate | null;
  /** Highest ten minutes of the storm to hold; null: none is given, or rain and inflow do not tell. */
  readonly inflow: FlowEstimate | null;
  readonly answer: SizingRequired["design_storm"];
  readonly step: HandStep | null;
  /** All that is known of that storm's inflow. */
  readonly design: DesignInflow | null;
  /** Why there is no such inflow; null where there is one. */
  readonly noDesign: string | null;
}

/** @returns null where no inflow was logged */
export function stormDemand(site: Site, logged: LoggedRecord | null): StormDemand | null {
  if (logged === null || logged.inflow.length === 0) return null;
  const design = site.design.storm ?? null;
  const record = stormRecord(logged.inflow, logged.rain, {
    design,
    inflowFactor: site.design.inflowFactor,
    displayUnits: site.displayUnits,
  });
  const { seen, base } = record;
  return {
    storms: record.storms.map(stormAnswer),
    seen: {
      enough: seen.verdict === "enough",
      days: seen.days,
      storms: seen.storms,
      message: seen.message,
      still_missing: seen.stillMissing,
      wettest_hour: wettestHour(site, logged, record),
    },
    dry:
      base.inflow_m3s === null
        ? null
        : { flow_m3s: base.inflow_m3s, uFlow_m3s: base.uInflow_m3s ?? 0, degreesOfFreedom: Number.POSITIVE_INFINITY },
    noDesign: record.noDesign,
    ...designOf(record, words(site.displayUnits)),
  };
}

function designOf(
  { design, byProportion }: StormRecord,
  say: Words,
): Pick<StormDemand, "inflow" | "answer" | "step" | "design"> {
  if (design === null) return { inflow: null, answer: null, step: null, design };
  const { inflow_m3s, low_m3s, high_m3s } = design.peaks[600];
  const { depth_m, duration_s, distribution } = design.storm;
  const inUnit = (flow_m3s: number) => twoFigures(fromSi(flow_m3s, say.flowUnit));
  return {
    design,
    // Lopsided, as a flow in words of one uncertainty: half of the whole range.
    inflow: {
      flow_m3s: inflow_m3s,
      uFlow_m3s: (high_m3s - low_m3s) / (2 * normalQuantile(0.975)),
      degreesOfFreedom: Number.POSITIVE_INFINITY,
    },
    answer: {
      depth_mm: depth_m * 1000,
      duration_s,
      distribution,
      inflow: { lpm: lpm(inflow_m3s), low_lpm: lpm(low_m3s), high_lpm: lpm(high_m3s) },
    },
    step: {
      what: "highest ten minutes of the storm to hold",
      sum: `${say.depth(depth_m)} of rain, ${design.method}, through this house's own answer to the rain that was logged`,
      result: `${say.flow(inflow_m3s)}, ${inUnit(low_m3s)} to ${inUnit(high_m3s)} ${say.flowUnit} in 95 of 100 cases`,
      source: `rain from the public table of the place; fitted to the storms that were logged${byProportion === null ? "" : `; as a check, ${byProportion.words}`}`,
    },
  };
}

function stormAnswer(storm: Storm): SizingStorm {
  const peak = storm.peaks[600];
  return {
    from: iso(storm.from_s),
    to: iso(storm.to_s),
    peak_lpm: lpm(peak?.inflow_m3s ?? storm.base_m3s + storm.peakAboveBase_m3s),
    ...(peak?.isLeast && { peak_at_least: true as const }),
    u95_peak_lpm: peak === null ? null : half(lpm(peak.uInflow_m3s)),
    peak_at: iso(peak?.at_s ?? storm.from_s + storm.rise_s),
    volume_l: storm.volume_m3 * 1000,
    rain_mm: storm.rain === null ? null : storm.rain.depth_m * 1000,
    delay_s: storm.rain?.lagOfPeak_s ?? null,
    recession_s: storm.recession?.constant_s ?? null,
  };
}
