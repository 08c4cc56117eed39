// What the analysis finds in whole recordings of the real world, some of them copyleft and so not in this repository,
// against what was counted from their raw rows without this program.

import { existsSync } from "node:fs";
import { join } from "node:path";
import type { BasinSite } from "../../analysis/site.ts";
import type { RecordingOptions } from "../../daemon/recordings/read-recording.ts";
import { type Analyzed, analyzeRecording, foot_m } from "./analyze-recording.ts";

interface Check {
  readonly what: string;
  readonly file: string;
  readonly options: RecordingOptions;
  readonly basin?: Partial<BasinSite>;
  readonly count: (analyzed: Analyzed) => number;
  /** Counted from the raw rows, without this program. */
  readonly known: number;
  /** By how much the two may differ. */
  readonly tolerance: number;
}

const starts = ({ summary }: Analyzed) => summary.totals.starts;
const findings = (kind: string) => (analyzed: Analyzed) =>
  analyzed.summary.findings.filter((finding) => finding.kind === kind).length;
const rows = ({ recording }: Analyzed) => (recording.problems.length === 0 ? recording.readings : -1);

const plant = { file: "a1-minespark-sbmbr-2010-1min.csv" };
const plantTime = { time: "date_time" };
const denver = { timezone: "America/Denver" };
const tanks = { startLevel_m: 5.4 * foot_m, stopLevel_m: 5.1 * foot_m };
const air = { file: "a3-metropt3-air-reservoir-10s.csv" };
const well = { file: "b2-well-transducer-2min.csv" };
const depth: RecordingOptions = { columns: { time: "", level_mm: "Value" } };
const stream: RecordingOptions = {
  columns: { time: "datetime_local", level_ft: "discharge_cfs" },
  timezone: "America/Chicago",
};

const checks: readonly Check[] = [
  {
    what: "plant: pump runs by flow",
    ...plant,
    options: { columns: { ...plantTime, pump_current_a: "sewage_flow" }, ...denver },
    count: starts,
    known: 703,
    tolerance: 7,
  },
  {
    // One pump fills the two tanks in turn: 703 runs are 351 fills, and so falls, of each. Passages through both
    // 5.1 and 5.4 ft are fewer (310 and 307): not every fall goes from above the one to below the other.
    what: "plant: falls of tank 1 by level",
    ...plant,
    options: { columns: { ...plantTime, level_ft: "bio_1_level" }, ...denver },
    basin: tanks,
    count: starts,
    known: 351,
    tolerance: 18,
  },
  {
    what: "plant: falls of tank 2 by level",
    ...plant,
    options: { columns: { ...plantTime, level_ft: "bio_2_level" }, ...denver },
    basin: tanks,
    count: starts,
    known: 351,
    tolerance: 18,
  },
  {
    what: "air: loads by signal",
    ...air,
    options: { columns: { time: "timestamp", pump_on: "DV_eletric" }, timezone: "UTC" },
    count: starts,
    known: 5,
    tolerance: 0,
  },
  {
    what: "air: motor runs by current",
    ...air,
    options: { columns: { time: "timestamp", pump_current_a: "Motor_current" }, timezone: "UTC" },
    count: starts,
    known: 5,
    tolerance: 0,
  },
  {
    what: "well: pump cycles in 51 days",
    ...well,
    options: { columns: { time: "datetime_utc", level_m: "wl_dbar" }, timezone: "UTC" },
    count: starts,
    known: 0,
    tolerance: 0,
  },
  {
    what: "clean stream: sensor faults",
    file: "b1-ultrasonic-034A_DET022.csv",
    options: depth,
    count: findings("sensor-fault"),
    known: 0,
    tolerance: 0,
  },
  {
    what: "clean stream: pump cycles",
    file: "b1-ultrasonic-034A_DET022.csv",
    options: depth,
    count: starts,
    known: 0,
    tolerance: 0,
  },
  {
    what: "stream below a dam: sensor faults",
    file: "b1-ultrasonic-031A_MDOT488.csv",
    options: depth,
    count: findings("sensor-fault"),
    known: 0,
    tolerance: 0,
  },
  {
    what: "stream below a dam: pump cycles",
    file: "b1-ultrasonic-031A_MDOT488.csv",
    options: depth,
    count: starts,
    known: 0,
    tolerance: 0,
  },
  {
    what: "obstructed stream: sensor faults seen (1 or 0)",
    file: "b1-ultrasonic-060A_ARB046.csv",
    options: depth,
    count: (analyzed) => Math.min(1, findings("sensor-fault")(analyzed)),
    known: 1,
    tolerance: 0,
  },
  {
    what: "obstructed stream: pump cycles",
    file: "b1-ultrasonic-060A_ARB046.csv",
    options: depth,
    count: starts,
    known: 0,
    tolerance: 0,
  },
  {
    what: "buried basin 2018: storms over 0.5 ft",
    file: "c1-pwd250-level-5min-2018.csv",
    options: { columns: { time: "dtime_est" }, timezone: "-05:00" },
    basin: { depth_m: 4 * foot_m, highLevel_m: 0.5 * foot_m },
    count: findings("high-water"),
    known: 4,
    tolerance: 0,
  },
  {
    what: "buried basin 2016-2018: pump cycles",
    file: "c1-pwd250-level-rain-15min-2016-2018.csv",
    options: { columns: { time: "dtime_est" }, timezone: "-05:00" },
    count: starts,
    known: 0,
    tolerance: 0,
  },
  {
    what: "river with clock change: readings in its zone",
    file: "c3-usgs-menomonee-wy2010-discharge.csv",
    options: stream,
    count: rows,
    known: 55_718,
    tolerance: 0,
  },
  {
    what: "river with clock change: steps found without its zone",
    file: "c3-usgs-menomonee-wy2010-discharge.csv",
    options: { ...stream, timezone: "UTC" },
    count: ({ recording }) => recording.clockSteps.length,
    known: 1,
    tolerance: 0,
  },
  {
    what: "pump loop, no fault: pump runs by current",
    file: "g-skab/anomaly-free_anomaly-free.csv",
    options: { columns: { time: "datetime", pump_current_a: "Current" }, timezone: "UTC" },
    count: starts,
    known: 0, // it runs from the first row to the last
    tolerance: 1,
  },
];

export interface Comparison {
  readonly what: string;
  readonly file: string;
  /** Null: the folder does not hold the file. */
  readonly found: number | null;
  readonly known: number;
  readonly tolerance: number;
  /** How often each kind of finding was made, whatever was counted. */
  readonly findings: ReadonlyMap<string, number>;
}

/** @param folder where the recordings lie */
export async function* compareRecordings(folder: string): AsyncGenerator<Comparison> {
  for (const { what, file, options, basin, count, known, tolerance } of checks) {
    const path = join(folder, file);
    const analyzed = existsSync(path) ? await analyzeRecording(path, options, basin) : null;
    const findings = new Map<string, number>();
    for (const { kind } of analyzed?.summary.findings ?? []) findings.set(kind, (findings.get(kind) ?? 0) + 1);
    yield { what, file, found: analyzed === null ? null : count(analyzed), known, tolerance, findings };
  }
}

export function agrees({ found, known, tolerance }: Comparison): boolean {
  return found !== null && Math.abs(found - known) <= tolerance;
}
