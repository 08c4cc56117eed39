// When watching may stop: what is asked of a record, what was found, and what would meet it, in words.

import type { DesignInflow } from "./design-storm.ts";
import type { DesignStormSite } from "./design-storm-site.ts";
import type { RainStretch } from "./rain.ts";
import type { Storm } from "./storm.ts";
import { wettest_m } from "./storm-rain.ts";
import type { StormWords } from "./storm-words.ts";

export interface SeenRecord {
  readonly from_s: number | null;
  readonly to_s: number | null;
  /** Time for which the inflow is known. */
  readonly observed_s: number;
  readonly storms: readonly Storm[];
  readonly rain: readonly RainStretch[] | null;
  readonly highestHour_m3s: number | null;
  readonly storm: DesignStormSite | null;
  readonly design: DesignInflow | null;
  readonly history: readonly SeenStep[];
}

/** What was known once so many storms with rain had been seen. */
export interface SeenStep {
  readonly storms: number;
  /** End of the newest of them. */
  readonly at_s: number;
  /** Of the design storm's highest ten minutes. */
  readonly inflow_m3s: number;
  /** How far its 95 % range reaches over it, as a share of it: 0.5 is half as much again. */
  readonly reach: number;
}

export interface Criterion {
  readonly key: "days" | "observed" | "storms" | "rain" | "range" | "steady" | "peak";
  readonly met: boolean;
  /** What is asked, and what was found, in words. */
  readonly asked: string;
  readonly found: string;
  /** What would meet it; null when it is met. */
  readonly missing: string | null;
}

/** Where watching may stop. Judgement, no source; the bench of design storms shows what lies behind the share of rain. */
const wanted = {
  days: 7,
  observed: 0.9,
  storms: 3,
  stormsWithoutRain: 5,
  rainShare: 1 / 3,
  reach: 0.5,
  change: 0.2,
} as const;

export function criteriaOf(record: SeenRecord, days: number, observedShare: number, say: StormWords): Criterion[] {
  const { storms, rain } = record;
  return [
    daysCriterion(days),
    observedCriterion(observedShare),
    stormsCriterion(storms, rain !== null),
    ...(rain === null ? [peakCriterion(storms)] : rainCriteria(record, rain, say)),
  ];
}

function criterion(key: Criterion["key"], met: boolean, asked: string, found: string, missing: string): Criterion {
  return { key, met, asked, found, missing: met ? null : missing };
}

function daysCriterion(days: number): Criterion {
  // A week that ends some hours early is a week.
  const more = Math.ceil(wanted.days - days - 0.25);
  return criterion(
    "days",
    more < 1,
    `at least ${wanted.days} days of record`,
    `${days.toFixed(1)} days`,
    `${more} more ${more === 1 ? "day" : "days"} of record`,
  );
}

function observedCriterion(share: number): Criterion {
  return criterion(
    "observed",
    share >= wanted.observed,
    `inflow known for at least ${percent(wanted.observed)} of the time`,
    percent(share),
    `a record with fewer gaps (the inflow is known for ${percent(share)} of the time, ${percent(wanted.observed)} is wanted)`,
  );
}

function stormsCriterion(storms: readonly Storm[], withRain: boolean): Criterion {
  const counted = withRain ? storms.filter(({ rain }) => rain !== null).length : storms.length;
  const least = withRain ? wanted.storms : wanted.stormsWithoutRain;
  const more = least - counted;
  return criterion(
    "storms",
    counted >= least,
    `at least ${least} storms${withRain ? " with their rain" : ", the rain being unknown"}`,
    `${counted}`,
    `${more} more ${more === 1 ? "storm" : "storms"}${withRain ? " with rain logged" : " (fewer where rain is logged too)"}`,
  );
}

/** Without rain nothing tells how great the storms were: the highest one must at least not be the newest. */
function peakCriterion(storms: readonly Storm[]): Criterion {
  const peaks = storms.map(({ peaks: { 600: peak }, peakAboveBase_m3s }) => peak?.inflow_m3s ?? peakAboveBase_m3s);
  const since = peaks.length === 0 ? 0 : peaks.length - 1 - peaks.indexOf(Math.max(...peaks));
  const more = 2 - since;
  return criterion(
    "peak",
    since >= 2,
    "at least two storms since the highest one, none of them higher",
    `${since}`,
    more === 1
      ? "1 more storm that does not exceed the highest so far"
      : peaks.length === 0
        ? "2 storms after the highest one, none of them higher"
        : "2 more storms that do not exceed the highest so far",
  );
}

function rainCriteria(
  { storm, design, history }: SeenRecord,
  rain: readonly RainStretch[],
  say: StormWords,
): Criterion[] {
  if (storm === null) {
    const missing =
      "the depth and duration of a storm from the rainfall tables of the place (design: storm: in the site file)";
    return [criterion("rain", false, "a storm of the tables to hold the seen rain against", "none given", missing)];
  }
  const least_m = wanted.rainShare * storm.depth_m;
  const seen_m = wettest_m(rain, storm.duration_s);
  const hours = Math.round(storm.duration_s / 360) / 10;
  const of = `${say.depth(storm.depth_m)} in ${hours} h`;
  const depth = criterion(
    "rain",
    seen_m >= least_m,
    `rain of at least a third of the design storm's ${of}`,
    `${say.depth(seen_m)} in ${hours} h`,
    `one storm of at least ${say.depth(least_m)} in ${hours} h (a third of the design storm; the greatest so far was ${say.depth(seen_m)})`,
  );
  return [depth, ...(design === null ? [] : [rangeCriterion(history), steadyCriterion(history)])];
}

function rangeCriterion(history: readonly SeenStep[]): Criterion {
  const reach = history[history.length - 1]?.reach ?? Number.POSITIVE_INFINITY;
  return criterion(
    "range",
    reach <= wanted.reach,
    `the design inflow's 95 % range reaches at most ${percent(wanted.reach)} over it`,
    percent(reach),
    `storms that narrow the design inflow's range (it reaches ${percent(reach)} over what is expected, ${percent(wanted.reach)} is wanted)`,
  );
}

function steadyCriterion(history: readonly SeenStep[]): Criterion {
  const [before, now] = history.slice(-2);
  const change = before && now ? Math.abs(now.inflow_m3s / before.inflow_m3s - 1) : null;
  return criterion(
    "steady",
    change !== null && change <= wanted.change,
    `the newest storm changed the design inflow by at most ${percent(wanted.change)}`,
    change === null ? "only one storm so far" : percent(change),
    `a further storm that leaves the design inflow within ${percent(wanted.change)} of what it is`,
  );
}

function percent(share: number): string {
  return Number.isFinite(share) ? `${Math.round(100 * share)} %` : "an unknown share";
}
