// How much of what the place can bring has been seen: days, storms, the wettest hour; what is still missing, and whether
// it is time to stop watching. A rule to watch, not a proof: it says when more of the same would tell little new.

import { type Criterion, criteriaOf, type SeenRecord, type SeenStep } from "./seen-criteria.ts";
import { wettest_m } from "./storm-rain.ts";
import { type StormWords, stormWords } from "./storm-words.ts";

export interface HowMuchIsSeen {
  readonly verdict: "enough" | "not-enough-data";
  readonly message: string;
  readonly stillMissing: readonly string[];
  readonly criteria: readonly Criterion[];
  readonly days: number;
  /** 0…1 of the record. */
  readonly observedShare: number;
  readonly storms: number;
  readonly wettestHour: {
    readonly rain_m: number | null;
    readonly inflow_m3s: number | null;
    /** In the design storm; null without one. */
    readonly expectedRain_m: number | null;
    readonly expectedInflow_m3s: number | null;
  };
  /** The number to watch: `reach` of the newest step, and how it fell storm by storm. */
  readonly reach: number | null;
  readonly history: readonly SeenStep[];
}

const day_s = 86_400;

/** @param say depths in words; in both systems of units where nothing else is wanted */
export function howMuchIsSeen(record: SeenRecord, say: StormWords = stormWords(null)): HowMuchIsSeen {
  const { observed_s, storms, rain, design, history } = record;
  const length_s = (record.to_s ?? 0) - (record.from_s ?? 0);
  const days = length_s / day_s;
  const observedShare = length_s > 0 ? observed_s / length_s : 0;
  const criteria = criteriaOf(record, days, observedShare, say);
  const stillMissing = criteria.flatMap(({ missing }) => (missing === null ? [] : [missing]));
  const enough = stillMissing.length === 0;
  return {
    verdict: enough ? "enough" : "not-enough-data",
    message: enough
      ? "Enough has been seen: more storms of the kind would change little."
      : `Not enough has been seen yet. Still missing: ${stillMissing.join("; ")}.`,
    stillMissing,
    criteria,
    days,
    observedShare,
    storms: storms.length,
    wettestHour: {
      rain_m: rain === null ? null : wettest_m(rain, 3600),
      inflow_m3s: record.highestHour_m3s,
      expectedRain_m: design?.wettestHour_m ?? null,
      expectedInflow_m3s: design?.peaks[3600].inflow_m3s ?? null,
    },
    reach: history[history.length - 1]?.reach ?? null,
    history,
  };
}
