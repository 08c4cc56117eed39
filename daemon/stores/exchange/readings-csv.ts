// Readings as the recording of the file contract (CSV), in figures from which the very same readings are read again.
// Levels in metres, for millimetres of a level in metres are not exact; times in whole milliseconds, as the contract has.

import { type Channel, channels, type Reading } from "../../../analysis/readings/reading.ts";

const columns: Readonly<Record<Channel, string>> = {
  level_m: "level_m",
  pumpOn: "pump_on",
  floatOn: "float_on",
  pump2On: "pump2_on",
  float2On: "float2_on",
  highFloat: "high_float",
  pumpCurrent_a: "pump_current_a",
  pumpPower_w: "pump_power_w",
  mainsOn: "mains_on",
  rain_m: "rain_mm",
  temperature_c: "temperature_c",
};

/** @param used the channels that the record has; the others get no column */
export function* readingsCsv(readings: Iterable<Reading>, used: readonly Channel[]): Generator<string> {
  yield `${["time_ms", ...used.map((channel) => columns[channel])].join(",")}\n`;
  let lines = "";
  for (const reading of readings) {
    const cells = used.map((channel) => cell(channel, reading[channel]));
    lines += `${[Math.round(reading.time_s * 1000), ...cells].join(",")}\n`;
    if (lines.length < 65_536) continue;
    yield lines;
    lines = "";
  }
  yield lines;
}

/** The channels that were ever read, in the contract's order. */
export function channelsIn(readings: Iterable<Reading>): Channel[] {
  const missing = new Set<Channel>(channels);
  for (const reading of readings) {
    for (const channel of missing) if (reading[channel] !== null) missing.delete(channel);
  }
  return channels.filter((channel) => !missing.has(channel));
}

function cell(channel: Channel, value: number | boolean | null): string {
  if (value === null) return "";
  if (typeof value === "boolean") return value ? "1" : "0";
  return channel === "rain_m" ? inMillimetres(value) : String(value);
}

/** The decimal of millimetres that is read as that depth again. */
function inMillimetres(depth_m: number): string {
  for (let digits = 1; digits <= 17; digits++) {
    const text = (depth_m * 1000).toPrecision(digits);
    if (Number(text) / 1000 === depth_m) return String(Number(text));
  }
  return String(depth_m * 1000);
}
