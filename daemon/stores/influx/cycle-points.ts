// Cycles as points, one by the start of its run, and back. What is not known of pumps and motor stays away from the
// cycle, as in one that comes fresh from the analysis.

import * as z from "zod";
import type { Cycle, FlowEstimate, InflowMethod, PumpShares, RunningLoad } from "../../../analysis/cycles/cycle.ts";
import { type OtherParts, otherSources } from "../../../analysis/uncertainty/parts.ts";
import { stamp, timeIn } from "./instant.ts";
import { knownIn, needed, putKnown } from "./known-fields.ts";
import { type Fields, numberIn, type Row, textIn } from "./line-values.ts";
import { type Point, pointOf } from "./point.ts";

/** In this order for ever: a new one comes at the end. */
const names = [
  ...(["startedAt_s", "stoppedAt_s", "run_s", "rest_s", "startLevel_m", "stopLevel_m", "drainBack_m3"] as const),
  ...([
    "inflow_m3s",
    "uInflow_m3s",
    "inflowDegreesOfFreedom",
    "inflowParts",
    "uInflowBend_m3s",
    "inflowMethod",
  ] as const),
  ...(["pumpRate_m3s", "uPumpRate_m3s", "pumpRateDegreesOfFreedom", "pumpRateParts", "uPumpRateBend_m3s"] as const),
  ...(["pump1_s", "pump2_s", "both_s", "rateOf"] as const),
  ...(["runningCurrent_a", "sdRunningCurrent_a", "runningPower_w", "sdRunningPower_w"] as const),
];

export const cycleColumns = [...names, "known"];

/** @throws {RangeError} naming a figure that is NaN */
export function cyclePoint(basin: string, cycle: Cycle): Point {
  const { inflow, pumpRate, pumps, runningCurrent, runningPower } = cycle;
  const fields: Fields = {};
  const timestamp = stamp(fields, "startedAt_s", cycle.startedAt_s);
  putKnown(fields, names, {
    startedAt_s: fields.startedAt_s === undefined ? null : cycle.startedAt_s,
    stoppedAt_s: cycle.stoppedAt_s,
    run_s: cycle.run_s,
    rest_s: cycle.rest_s,
    startLevel_m: cycle.startLevel_m,
    stopLevel_m: cycle.stopLevel_m,
    drainBack_m3: cycle.drainBack_m3,
    inflow_m3s: inflow?.flow_m3s,
    uInflow_m3s: inflow?.uFlow_m3s,
    inflowDegreesOfFreedom: inflow?.degreesOfFreedom,
    inflowParts: partsText(inflow),
    uInflowBend_m3s: inflow?.uBend_m3s,
    inflowMethod: inflow?.method,
    pumpRate_m3s: pumpRate?.flow_m3s,
    uPumpRate_m3s: pumpRate?.uFlow_m3s,
    pumpRateDegreesOfFreedom: pumpRate?.degreesOfFreedom,
    pumpRateParts: partsText(pumpRate),
    uPumpRateBend_m3s: pumpRate?.uBend_m3s,
    pump1_s: pumps?.pump1_s,
    pump2_s: pumps?.pump2_s,
    both_s: pumps?.both_s,
    rateOf: pumps?.rateOf === "both" ? 3 : pumps?.rateOf,
    runningCurrent_a: runningCurrent?.mean,
    sdRunningCurrent_a: runningCurrent?.standardDeviation,
    runningPower_w: runningPower?.mean,
    sdRunningPower_w: runningPower?.standardDeviation,
  });
  return pointOf("cycle", basin, timestamp, fields);
}

/** Null for one that was taken back. */
export function cycleIn(columns: Row): Cycle | null {
  const row = knownIn(columns, names);
  if (row === null) return null;
  const inflow = flowIn(row, ["inflow_m3s", "uInflow_m3s", "inflowDegreesOfFreedom", "inflowParts", "uInflowBend_m3s"]);
  return {
    startedAt_s: timeIn(row, "startedAt_s"),
    stoppedAt_s: needed(row, "stoppedAt_s"),
    run_s: needed(row, "run_s"),
    rest_s: numberIn(row, "rest_s"),
    startLevel_m: numberIn(row, "startLevel_m"),
    stopLevel_m: numberIn(row, "stopLevel_m"),
    inflow: inflow === null ? null : { ...inflow, method: methodOf(textIn(row, "inflowMethod")) },
    pumpRate: flowIn(row, [
      ...(["pumpRate_m3s", "uPumpRate_m3s", "pumpRateDegreesOfFreedom", "pumpRateParts", "uPumpRateBend_m3s"] as const),
    ]),
    drainBack_m3: numberIn(row, "drainBack_m3"),
    ...pumpSideOf(row),
  };
}

type Name = (typeof names)[number];

function flowIn(
  row: Row,
  [flow, uFlow, freedom, parts, uBend]: readonly [Name, Name, Name, Name, Name],
): FlowEstimate | null {
  const flow_m3s = numberIn(row, flow);
  if (flow_m3s === null) return null;
  const partsOfIt = textIn(row, parts);
  const uBend_m3s = numberIn(row, uBend);
  return {
    flow_m3s,
    uFlow_m3s: needed(row, uFlow),
    degreesOfFreedom: needed(row, freedom),
    ...(partsOfIt !== null && { parts: partsOf(partsOfIt) }),
    ...(uBend_m3s !== null && { uBend_m3s }),
  };
}

function partsText(flow: FlowEstimate | null): string | null {
  return flow?.parts === undefined ? null : JSON.stringify(flow.parts);
}

const partsSchema = z.partialRecord(z.enum(otherSources), z.number());

function partsOf(text: string): OtherParts {
  return partsSchema.parse(JSON.parse(text));
}

function methodOf(text: string | null): InflowMethod {
  if (text === "fill-slope" || text === "active-volume") return text;
  throw new RangeError(`the database holds ${text} where a method of inflow belongs; it was not written by undercroft`);
}

function pumpSideOf(row: Row): Pick<Cycle, "pumps" | "runningCurrent" | "runningPower"> {
  const pumps = sharesOf(row);
  const runningCurrent = loadOf(row, "runningCurrent_a", "sdRunningCurrent_a");
  const runningPower = loadOf(row, "runningPower_w", "sdRunningPower_w");
  return {
    ...(pumps !== null && { pumps }),
    ...(runningCurrent !== null && { runningCurrent }),
    ...(runningPower !== null && { runningPower }),
  };
}

function loadOf(row: Row, mean: Name, spread: Name): RunningLoad | null {
  const found = numberIn(row, mean);
  return found === null ? null : { mean: found, standardDeviation: numberIn(row, spread) };
}

function sharesOf(row: Row): PumpShares | null {
  const pump1_s = numberIn(row, "pump1_s");
  if (pump1_s === null) return null;
  const rateOf = numberIn(row, "rateOf");
  return {
    pump1_s,
    pump2_s: needed(row, "pump2_s"),
    both_s: needed(row, "both_s"),
    rateOf: rateOf === 3 ? "both" : rateOf === 1 || rateOf === 2 ? rateOf : null,
  };
}
