// How far a what-if can be trusted: the replay of what is there, beside what really happened.

import { rounded } from "../report/summarize.ts";
import type { Site } from "../site.ts";
import { duration } from "../units/duration.ts";
import { fromSi } from "../units/unit.ts";
import { twoFigures } from "../units/words.ts";
import type { ReplayOutcome } from "./outcome.ts";
import type { WhatIfGiven } from "./to-whatif-answer.ts";
import type { TrustFigures, WhatIfTrust } from "./whatif-answer.ts";

const milli = 1000;

/** The recording replayed with the installation that made it, beside what really happened. */
export function trustOf({ recorded, asItWas, site }: WhatIfGiven): WhatIfTrust {
  const { outcome } = asItWas;
  const happened: TrustFigures = {
    highest_level_mm: recorded.highest_m === null ? null : rounded(recorded.highest_m * milli),
    starts: recorded.starts,
    most_starts_in_an_hour: recorded.mostStartsInAnHour,
    run_s: rounded(recorded.run_s),
  };
  if (outcome === null) {
    return { recorded: happened, replayed: null, message: "The recording cannot be replayed with the present pump." };
  }
  return {
    recorded: happened,
    replayed: {
      highest_level_mm: rounded(outcome.highestLevel_m * milli),
      starts: outcome.starts,
      most_starts_in_an_hour: outcome.mostStartsInAnHour,
      run_s: rounded(outcome.run_s),
    },
    message: trustInWords(recorded, outcome, site),
  };
}

/** Sensors differ by as much. */
const same_m = 0.002;
/** Within these a replay is as good as the record: two sensors would differ by as much. */
const close = { level_m: 0.015, share: 0.03, starts: 1, run: 0.1 };

function trustInWords(
  { highest_m, starts, run_s }: WhatIfGiven["recorded"],
  outcome: ReplayOutcome,
  site: Site,
): string {
  // A sensor may read over the rim; the water does not stand there.
  const rim_m = site.basin.overflowLevel_m ?? site.basin.depth_m ?? Number.POSITIVE_INFINITY;
  const off_m = highest_m === null ? null : outcome.highestLevel_m - Math.min(highest_m, rim_m);
  const offStarts = Math.abs(outcome.starts - starts);
  const good =
    (off_m === null || Math.abs(off_m) <= close.level_m) &&
    offStarts <= Math.max(close.starts, close.share * starts) &&
    Math.abs(outcome.run_s - run_s) <= close.run * run_s;
  const level =
    off_m === null
      ? "no level was recorded to compare"
      : Math.abs(off_m) < same_m
        ? "the highest level comes out as recorded"
        : `the highest level comes out ${inFewFigures(Math.abs(off_m), site)} ${off_m < 0 ? "below" : "above"} the recorded one`;
  const count = `${outcome.starts} starts and ${duration(outcome.run_s)} of running where ${starts} and ${duration(run_s)} were recorded`;
  return good
    ? `The replay of what is there agrees with the record: ${level}, with ${count}.`
    : `The replay of what is there does not agree with the record: ${level}, with ${count}. Trust the differences between rows more than the rows, and look for what the site file does not say.`;
}

function inFewFigures(height_m: number, { displayUnits }: Site): string {
  const unit = displayUnits === "us" ? "in" : "mm";
  return `${twoFigures(fromSi(height_m, unit))} ${unit}`;
}
