// From replays to the document of a what-if, with everything that was taken for granted said beside the figures.

import { iso, rounded } from "../report/summarize.ts";
import type { Site } from "../site.ts";
import type { JoinedInflow } from "./join-inflow.ts";
import type { ReplayOutcome } from "./outcome.ts";
import type { Grounds } from "./plan.ts";
import type { Range } from "./ranges.ts";
import { trustOf } from "./trust.ts";
import type { WhatIfRow } from "./what-if.ts";
import {
  type Ranged,
  type WhatIfAnswer,
  type WhatIfAnswerRow,
  type WhatIfFigures,
  whatIfSchema,
} from "./whatif-answer.ts";
import { assumptionsOf, cautions, notesOf } from "./whatif-words.ts";

export interface WhatIfGiven {
  readonly site: Site;
  readonly of: WhatIfAnswer["inflow"]["of"];
  /** What was replayed in the rows. */
  readonly inflow: JoinedInflow;
  readonly rows: readonly WhatIfRow[];
  /** The recording with the installation that made it. */
  readonly asItWas: WhatIfRow;
  readonly recorded: {
    readonly highest_m: number | null;
    readonly starts: number;
    readonly mostStartsInAnHour: number;
    readonly run_s: number;
    readonly atRim_s: number;
    readonly powerCuts: number;
  };
}

const joule_kwh = 3.6e6;
const milli = 1000;

export function toWhatIfAnswer(given: WhatIfGiven): WhatIfAnswer {
  const { site, of, inflow, rows } = given;
  const first = inflow.stretches[0];
  const last = inflow.stretches.at(-1);
  return {
    schema: whatIfSchema,
    site: { name: site.name, display_units: site.displayUnits, timezone: site.timezone },
    inflow: {
      of,
      from: iso(first?.from_s ?? 0),
      to: iso(last?.to_s ?? 0),
      played_s: rounded(inflow.stretches.reduce((sum, { from_s, to_s }) => sum + to_s - from_s, 0)),
      gaps: { count: inflow.gaps, missing_s: rounded(inflow.missing_s), choice: inflow.choice },
    },
    trust: trustOf(given),
    rows: rows.map((row) => answerRow(row, site)),
    notes: notesOf(given),
    cautions,
  };
}

function answerRow(row: WhatIfRow, site: Site): WhatIfAnswerRow {
  const { name, missing, outcome, ranges, grounds } = row;
  if (outcome === null || grounds === null) return { name, missing, impossible: [], figures: null, assumptions: [] };
  return {
    name,
    missing,
    impossible: grounds.noDuty.flatMap(({ words, movesNothing }) => (movesNothing ? [words] : [])),
    figures: figuresOf(outcome, ranges, row.cuts, grounds),
    assumptions: assumptionsOf(grounds, site),
  };
}

function figuresOf(
  outcome: ReplayOutcome,
  ranges: WhatIfRow["ranges"],
  cuts: WhatIfRow["cuts"],
  grounds: Grounds,
): WhatIfFigures {
  const kwh = (energy_j: number | null) => (energy_j === null ? null : rounded(energy_j / joule_kwh));
  const moment = (time_s: number | null) => (time_s === null ? null : iso(time_s));
  return {
    highest_level_mm: ranged(outcome.highestLevel_m, ranges?.highestLevel_m, milli),
    highest_at: iso(outcome.highestAt_s),
    last_level_mm: rounded(outcome.lastLevel_m * milli),
    starts: ranged(outcome.starts, ranges?.starts),
    most_starts_in_an_hour: outcome.mostStartsInAnHour,
    allowed_starts_in_an_hour: grounds.allowedStartsPerHour,
    run_s: rounded(outcome.run_s),
    above_high_s: outcome.aboveHigh_s === null ? null : rounded(outcome.aboveHigh_s),
    overflow_l: ranged(outcome.overflow_m3, ranges?.overflow_m3, milli),
    overflow_from: moment(outcome.overflowFrom_s),
    overflow_s: rounded(outcome.overflow_s),
    power_cuts: cuts.map(({ from_s, to_s }) => ({ from: iso(from_s), to: iso(to_s) })),
    power_cut_s: rounded(outcome.powerCut_s),
    battery_empty_s: outcome.batteryEmpty_s === null ? null : rounded(outcome.batteryEmpty_s),
    battery_empty_from: moment(outcome.batteryEmptyFrom_s),
    energy_kwh: kwh(outcome.energy_j),
    battery_energy_kwh: kwh(outcome.batteryEnergy_j),
    inflow_l: rounded(outcome.inflow_m3 * milli),
    pumped_l: rounded(outcome.pumped_m3 * milli),
    pumps: outcome.pumps.map((pump) => ({
      name: pump.name,
      starts: pump.starts,
      most_starts_in_an_hour: pump.mostStartsInAnHour,
      run_s: rounded(pump.run_s),
      run_on_battery_s: rounded(pump.runOnBattery_s),
    })),
    start_level_mm: rounded(grounds.start_m * milli),
    stop_level_mm: rounded(grounds.stop_m * milli),
  };
}

function ranged(value: number, range: Range | undefined, times = 1): Ranged {
  const { low, high } = range ?? { low: value, high: value };
  return { value: rounded(value * times), low: rounded(low * times), high: rounded(high * times) };
}
