// Which column of a recording is which channel: the contract's column names, a map for other loggers' names, and
// the plan that the header of one file gives. Units are converted by the factors of analysis/units.

import type { Channel } from "../../analysis/readings/reading.ts";
import { type Unit, units } from "../../analysis/units/unit.ts";
import { type ProblemList, quoted } from "./problem-list.ts";

interface ChannelColumn {
  readonly channel: Channel;
  /** null: a contact, 1 or 0. */
  readonly unit: Unit | "A" | null;
}

const channelColumns = {
  level_mm: { channel: "level_m", unit: "mm" },
  level_cm: { channel: "level_m", unit: "cm" },
  level_m: { channel: "level_m", unit: "m" },
  level_in: { channel: "level_m", unit: "in" },
  level_ft: { channel: "level_m", unit: "ft" },
  pump_on: { channel: "pumpOn", unit: null },
  float_on: { channel: "floatOn", unit: null },
  pump2_on: { channel: "pump2On", unit: null },
  float2_on: { channel: "float2On", unit: null },
  high_float: { channel: "highFloat", unit: null },
  pump_current_a: { channel: "pumpCurrent_a", unit: "A" },
  pump_power_w: { channel: "pumpPower_w", unit: "W" },
  mains_on: { channel: "mainsOn", unit: null },
  rain_mm: { channel: "rain_m", unit: "mm" },
  rain_in: { channel: "rain_m", unit: "in" },
  temperature_c: { channel: "temperature_c", unit: "°C" },
} as const satisfies Readonly<Record<string, ChannelColumn>>;

/** A column of the contract. */
export type RecordingColumn = "time" | "time_ms" | keyof typeof channelColumns;

export const recordingColumns = [
  "time",
  "time_ms",
  ...Object.keys(channelColumns),
] as readonly string[] as readonly RecordingColumn[];

/** The contract's column → the logger's own name for it. */
export type ColumnMap = Readonly<Record<string, string>>;

/** What one column of a file holds. A number in SI is value · times / over. */
export type PlannedColumn =
  | { readonly header: string; readonly holds: "time" }
  | { readonly header: string; readonly holds: "time_ms" }
  | { readonly header: string; readonly holds: "ignored" }
  | { readonly header: string; readonly holds: "contact"; readonly channel: Channel }
  | {
      readonly header: string;
      readonly holds: "number";
      readonly channel: Channel;
      readonly times: number;
      readonly over: number;
    };

/**
 * Reads a column map as typed on the command line: `level_ft=bio_1_level,time=date_time`.
 *
 * @returns the map, or what is wrong with the text
 */
export function parseColumnMap(
  text: string,
): { readonly ok: true; readonly columns: ColumnMap } | { readonly ok: false; readonly problem: string } {
  const columns: Record<string, string> = {};
  for (const pair of text.split(",")) {
    const equals = pair.indexOf("=");
    if (equals === -1) return { ok: false, problem: `expected column=logger's column, found ${quoted(pair)}` };
    const name = pair.slice(0, equals).trim();
    if (!isRecordingColumn(name)) return { ok: false, problem: notOfTheContract(name) };
    if (name in columns) return { ok: false, problem: `${name} is given twice` };
    columns[name] = pair.slice(equals + 1).trim();
  }
  return { ok: true, columns };
}

/**
 * Finds the channels in a header. A mapped column goes before one of the contract's own name, and so does its unit.
 *
 * @param line the header's line number
 * @returns one entry per column, in order; problems go to the list
 */
export function planColumns(
  header: readonly string[],
  line: number,
  map: ColumnMap,
  problems: ProblemList,
): PlannedColumn[] {
  const names = header.map((name) => name.trim());
  const wanted = mappedColumns(names, line, map, problems);
  const taken = new Set([...wanted.values()].map(subject));
  for (const name of names) {
    if (isRecordingColumn(name) && !wanted.has(name) && !taken.has(subject(name))) wanted.set(name, name);
  }

  const plan = names.map((name) => planColumn(name, wanted.get(name)));
  for (const problem of [timeProblem(plan), channelProblem(plan)]) if (problem !== null) problems.add(line, problem);
  for (const name of new Set(names.filter((name, at) => wanted.has(name) && names.indexOf(name) !== at))) {
    problems.add(line, `column ${quoted(name)} stands there twice; expected once`);
  }
  return plan;
}

/** The file's column → the contract's, as the map says. */
function mappedColumns(
  names: readonly string[],
  line: number,
  map: ColumnMap,
  problems: ProblemList,
): Map<string, RecordingColumn> {
  const wanted = new Map<string, RecordingColumn>();
  for (const [column, name] of Object.entries(map)) {
    const earlier = wanted.get(name);
    if (!isRecordingColumn(column)) problems.add(null, `column map: ${notOfTheContract(column)}`);
    else if (!names.includes(name))
      problems.add(line, `no column ${quoted(name)} (for ${column}); found ${some(names)}`);
    else if (earlier) problems.add(null, `column map: ${quoted(name)} is given both as ${earlier} and as ${column}`);
    else wanted.set(name, column);
  }
  return wanted;
}

function planColumn(header: string, column: RecordingColumn | undefined): PlannedColumn {
  if (column === undefined) return { header, holds: "ignored" };
  if (column === "time" || column === "time_ms") return { header, holds: column };
  const { channel, unit } = channelColumns[column];
  if (unit === null) return { header, holds: "contact", channel };
  const { times, over } = unit === "A" ? { times: 1, over: 1 } : units[unit];
  return { header, holds: "number", channel, times, over };
}

function timeProblem(plan: readonly PlannedColumn[]): string | null {
  const times = new Set(plan.map(({ holds }) => holds).filter((holds) => holds === "time" || holds === "time_ms"));
  if (times.size === 0) return `no column of time; expected time or time_ms, found ${found(plan)}`;
  return times.size > 1 ? "both time and time_ms; expected one of them" : null;
}

function channelProblem(plan: readonly PlannedColumn[]): string | null {
  const channels = plan.flatMap((column) => ("channel" in column ? [column] : []));
  if (channels.length === 0) {
    return `no channel; expected at least one of ${recordingColumns.slice(2).join(", ")}, found ${found(plan)}`;
  }
  for (const [channel, name] of [
    ["level_m", "level"],
    ["rain_m", "rain"],
  ]) {
    const headers = new Set(channels.filter((column) => column.channel === channel).map(({ header }) => header));
    if (headers.size > 1) return `more than one ${name} (${[...headers].join(", ")}); expected at most one`;
  }
  return null;
}

/** Columns of one subject exclude each other. */
function subject(column: RecordingColumn): string {
  return column === "time" || column === "time_ms" ? "time" : channelColumns[column].channel;
}

function isRecordingColumn(name: string): name is RecordingColumn {
  return name === "time" || name === "time_ms" || Object.hasOwn(channelColumns, name);
}

function notOfTheContract(name: string): string {
  return `${quoted(name)} is no column of a recording; expected one of ${recordingColumns.join(", ")}`;
}

function found(plan: readonly PlannedColumn[]): string {
  return some(plan.map(({ header }) => header));
}

function some(names: readonly string[]): string {
  const first = names.slice(0, 8).map(quoted).join(", ");
  return names.length > 8 ? `${first} and ${names.length - 8} more` : first;
}
