// A month of an invented basement for the benches of speed: a basin of 46 cm that fills in 3 to 40 minutes, wet days and
// dry ones, read once a second by a sensor that scatters by 1.5 mm and shows tenths of a millimetre.

import { closeSync, openSync, writeSync } from "node:fs";
import { seededRandom } from "../../../daemon/sources/simulated/random.ts";

/** The site file that goes with it. */
export const monthSiteFile = `site: { name: Bench, timezone: America/Toronto, display_units: us }
basin:
  shape: round
  diameter: 45.7 cm
  occupied_area: 50 cm2
  depth: 76.2 cm
  start_level: 35.5 cm
  stop_level: 15.2 cm
  high_level: 50.8 cm
  overflow_level: 76.2 cm
pump:
  curve: [[0 L/min, 7.6 m], [76 L/min, 6.1 m], [151 L/min, 3.4 m], [197 L/min, 0 m]]
  max_starts_per_hour: 20
  min_run: 8 s
discharge:
  high_point: 3.05 m
  pipe: { material: pvc-40, nominal: 1-1/2 in, length: 6.7 m }
  fittings: [{ kind: elbow-90, count: 3 }, { kind: check-valve-swing, count: 1 }]
`;

/** Of the month, row by row: levels as the recording shows them. */
export interface Month {
  readonly rows: number;
  readonly time_ms: Float64Array;
  readonly level_mm: Float64Array;
  readonly pumpOn: Uint8Array;
}

/** 2026-01-01T00:00:00Z. */
const start_ms = 1_767_225_600_000;
const day_s = 86_400;
const start_mm = 355;
const stop_mm = 152;
/** 90 L/min out of a free area of 1590 cm². */
const fall_mms = 9.4;

export function playMonth(days: number): Month {
  const rows = days * day_s;
  const random = seededRandom(20);
  const month = {
    rows,
    time_ms: new Float64Array(rows),
    level_mm: new Float64Array(rows),
    pumpOn: new Uint8Array(rows),
  };
  let water_mm = 200;
  let runs = false;
  for (let i = 0; i < rows; i++) {
    water_mm += rise_mms(i) - (runs ? fall_mms : 0);
    if (!runs && water_mm >= start_mm) runs = true;
    else if (runs && water_mm <= stop_mm) runs = false;
    month.time_ms[i] = start_ms + i * 1000;
    month.level_mm[i] = Math.round((water_mm + random.normal(1.5)) * 10) / 10;
    month.pumpOn[i] = runs ? 1 : 0;
  }
  return month;
}

/** A storm every fourth day that dies away over a day, on a slow rise and fall over the month. */
function rise_mms(second: number): number {
  const sinceStorm_s = second % (4 * day_s);
  const storm = Math.min(1, sinceStorm_s / 3600) * Math.exp(-sinceStorm_s / (0.5 * day_s));
  return 0.15 + 0.1 * Math.sin((2 * Math.PI * second) / (15 * day_s)) + 0.9 * storm;
}

/** Writes the month as a recording of the file contract: 33 bytes a row. */
export function writeRecording({ rows, time_ms, level_mm, pumpOn }: Month, path: string): number {
  const file = openSync(path, "w");
  let bytes = writeSync(file, "time,level_mm,pump_on\n");
  for (let from = 0; from < rows; from += 3600) {
    let text = "";
    for (let i = from; i < Math.min(rows, from + 3600); i++) {
      text += `${new Date(time_ms[i] ?? 0).toISOString()},${(level_mm[i] ?? 0).toFixed(1)},${pumpOn[i]}\n`;
    }
    bytes += writeSync(file, text);
  }
  closeSync(file);
  return bytes;
}
