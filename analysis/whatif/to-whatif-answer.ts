// From replays to the document of a what-if, with everything that was taken for granted said beside the figures.

import { iso, rounded } from "../report/summarize.ts";
import type { Site } from "../site.ts";
import { words } from "../units/words.ts";
import type { JoinedInflow } from "./join-inflow.ts";
import type { ReplayOutcome } from "./outcome.ts";
import type { Grounds } from "./plan.ts";
import type { Range } from "./ranges.ts";
import type { WhatIfRow } from "./what-if.ts";
import {
  type Ranged,
  type TrustFigures,
  type WhatIfAnswer,
  type WhatIfAnswerRow,
  type WhatIfFigures,
  whatIfSchema,
} from "./whatif-answer.ts";

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

function trustOf({ recorded, asItWas, site }: WhatIfGiven): WhatIfAnswer["trust"] {
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

const same_m = 0.0005;
/** Within these a replay is as good as the record: two sensors would differ by as much. */
const close = { level_m: 0.015, share: 0.03, starts: 1 };

function trustInWords({ highest_m, starts }: WhatIfGiven["recorded"], outcome: ReplayOutcome, site: Site): string {
  const say = words(site.displayUnits);
  // A sensor may read over the rim; the water does not stand there.
  const rim_m = site.basin.overflowLevel_m ?? site.basin.depth_m ?? Number.POSITIVE_INFINITY;
  const off_m = highest_m === null ? null : outcome.highestLevel_m - Math.min(highest_m, rim_m);
  const offStarts = Math.abs(outcome.starts - starts);
  const good =
    (off_m === null || Math.abs(off_m) <= close.level_m) && offStarts <= Math.max(close.starts, close.share * starts);
  const level =
    off_m === null
      ? "no level was recorded to compare"
      : Math.abs(off_m) < same_m
        ? "the highest level comes out as recorded"
        : `the highest level comes out ${say.level(Math.abs(off_m))} ${off_m < 0 ? "below" : "above"} the recorded one`;
  const count = `${outcome.starts} starts where ${starts} were recorded`;
  return good
    ? `The replay of what is there agrees with the record: ${level}, and ${count}.`
    : `The replay of what is there does not agree with the record: ${level}, and ${count}. Trust the differences between rows more than the rows, and look for what the site file does not say.`;
}

function answerRow(row: WhatIfRow, site: Site): WhatIfAnswerRow {
  const { name, missing, outcome, ranges, grounds } = row;
  if (outcome === null || grounds === null) return { name, missing, figures: null, assumptions: [] };
  return {
    name,
    missing,
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

const flowFrom: Readonly<Record<Grounds["flow"], string>> = {
  measured: "the pump moves what it was measured to move",
  published: "the pump moves what its published curve gives on the discharge",
  "published-as-measured":
    "the pump moves what its published curve gives on the discharge, at the speed at which that curve explains what it was measured to move on the present one",
};

function assumptionsOf(grounds: Grounds, site: Site): string[] {
  const say = words(site.displayUnits);
  const by = { measured: "as the record shows it", given: "as given" };
  const { startFrom, stopFrom } = grounds;
  const closes = `the float closes at ${say.level(grounds.start_m)}${startFrom === stopFrom ? "" : `, ${by[startFrom]},`}`;
  return [
    flowFrom[grounds.flow],
    `${closes} and opens at ${say.level(grounds.stop_m)}, ${by[stopFrom]}`,
    ...grounds.noDuty,
    ...(grounds.batteryRun_s === null ? [] : [`the battery runs the pump for ${say.duration(grounds.batteryRun_s)}`]),
    ...(grounds.noOverflowLevel ? ["no overflow level is given: the water rises without end"] : []),
  ];
}

function notesOf({ inflow, recorded, site, rows, of }: WhatIfGiven): string[] {
  const say = words(site.displayUnits);
  const notes: string[] = [];
  if (inflow.gaps > 0) {
    const count = `${inflow.gaps} gap${inflow.gaps === 1 ? "" : "s"} (${say.duration(inflow.missing_s)} in all)`;
    notes.push(
      inflow.choice === "bridge"
        ? `The inflow is not known in ${count}; it was taken to go straight from what came before to what came after.`
        : `The inflow is not known in ${count}; that time was left out, and the water taken to stand as it stood.`,
    );
  }
  if (recorded.atRim_s > 0 && of !== "design-storm") {
    notes.push(
      `In the recording the water stood at the overflow level for ${say.duration(recorded.atRim_s)}. What ran over then is not in the inflow, so that every row tells too little.`,
    );
  }
  if (recorded.powerCuts > 0 && of !== "design-storm") {
    const many =
      recorded.powerCuts === 1 ? "The recorded power cut is" : `The ${recorded.powerCuts} recorded power cuts are`;
    notes.push(`${many} in every row.`);
  }
  if (rows.some(({ outcome }) => outcome !== null)) {
    notes.push(
      "Ranges hold in 95 of 100 cases what is known of inflow, pump and floats. They leave out what no one can know: blockages, other storms.",
    );
  }
  return notes;
}

const cautions = [
  "A replay says what this inflow would have done, not what the next storm will bring.",
  "Mains power beside water kills, and batteries give off gas and great currents: leave wiring to someone licensed for it. A generator belongs outdoors: its exhaust kills.",
  "Advice only: local codes and licensed practice decide.",
];
