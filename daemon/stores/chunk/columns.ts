// Readings turned by a quarter: one typed array for each channel, and back.

import type { Channel, Reading } from "../../../analysis/readings/reading.ts";
import { columnOf, type ReadingRows } from "../../../analysis/readings/reading-rows.ts";

/** Channels in the order in which a chunk has them; a layout of chunks belongs to it. */
export const numberChannels = [
  "level_m",
  "pumpCurrent_a",
  "pumpPower_w",
  "rain_m",
  "temperature_c",
] as const satisfies Channel[];
export const switchChannels = [
  "pumpOn",
  "floatOn",
  "pump2On",
  "float2On",
  "highFloat",
  "mainsOn",
] as const satisfies Channel[];

/** One channel of numbers. */
export interface Numbers {
  /** Where it was not read stands NaN. */
  readonly values: Float64Array;
  /** 1 where it was read; null when it was read everywhere. */
  readonly present: Uint8Array | null;
}

export interface Columns {
  readonly count: number;
  readonly time_s: Float64Array;
  /** By `numberChannels`; null where it was never read. */
  readonly numbers: readonly (Numbers | null)[];
  /** By `switchChannels`: 0 not read, 1 off, 2 on; null where it was never read. */
  readonly switches: readonly (Uint8Array | null)[];
}

export function columnsOf(readings: readonly Reading[]): Columns {
  const count = readings.length;
  const time_s = new Float64Array(count);
  for (let i = 0; i < count; i++) time_s[i] = (readings[i] as Reading).time_s;
  const used = usedIn(readings);
  return {
    count,
    time_s,
    numbers: [
      used.level_m ? numbersOf(readings, (reading) => reading.level_m) : null,
      used.pumpCurrent_a ? numbersOf(readings, (reading) => reading.pumpCurrent_a) : null,
      used.pumpPower_w ? numbersOf(readings, (reading) => reading.pumpPower_w) : null,
      used.rain_m ? numbersOf(readings, (reading) => reading.rain_m) : null,
      used.temperature_c ? numbersOf(readings, (reading) => reading.temperature_c) : null,
    ],
    switches: [
      used.pumpOn ? switchesOf(readings, (reading) => reading.pumpOn) : null,
      used.floatOn ? switchesOf(readings, (reading) => reading.floatOn) : null,
      used.pump2On ? switchesOf(readings, (reading) => reading.pump2On) : null,
      used.float2On ? switchesOf(readings, (reading) => reading.float2On) : null,
      used.highFloat ? switchesOf(readings, (reading) => reading.highFloat) : null,
      used.mainsOn ? switchesOf(readings, (reading) => reading.mainsOn) : null,
    ],
  };
}

/** Which channels were read at all: most boards have two or three. */
function usedIn(readings: readonly Reading[]): Record<Channel, boolean> {
  let [level, current, power, rain, temperature] = [false, false, false, false, false];
  let [pump, float, pump2, float2, high, mains] = [false, false, false, false, false, false];
  for (let i = 0; i < readings.length; i++) {
    const reading = readings[i] as Reading;
    level ||= reading.level_m !== null;
    current ||= reading.pumpCurrent_a !== null;
    power ||= reading.pumpPower_w !== null;
    rain ||= reading.rain_m !== null;
    temperature ||= reading.temperature_c !== null;
    pump ||= reading.pumpOn !== null;
    float ||= reading.floatOn !== null;
    pump2 ||= reading.pump2On !== null;
    float2 ||= reading.float2On !== null;
    high ||= reading.highFloat !== null;
    mains ||= reading.mainsOn !== null;
  }
  return {
    ...{ level_m: level, pumpCurrent_a: current, pumpPower_w: power, rain_m: rain, temperature_c: temperature },
    ...{ pumpOn: pump, floatOn: float, pump2On: pump2, float2On: float2, highFloat: high, mainsOn: mains },
  };
}

/** Rows of a recording, the first `count` of them. */
export function columnsOfRows(rows: ReadingRows, count: number): Columns {
  const values = (channel: Channel) => columnOf(rows, channel)?.subarray(0, count) ?? null;
  const time_s = new Float64Array(count);
  for (let i = 0; i < count; i++) time_s[i] = (rows.time_ms[i] as number) / 1000;
  return {
    count,
    time_s,
    numbers: numberChannels.map((channel) => presentIn(values(channel))),
    switches: switchChannels.map((channel) => statesIn(values(channel))),
  };
}

// Loops: a year of rows comes through here.

function presentIn(values: Float64Array | null): Numbers | null {
  if (values === null) return null;
  let missing = 0;
  for (let i = 0; i < values.length; i++) if (Number.isNaN(values[i])) missing++;
  if (missing === values.length) return null;
  if (missing === 0) return { values, present: null };
  const present = new Uint8Array(values.length);
  for (let i = 0; i < values.length; i++) if (!Number.isNaN(values[i])) present[i] = 1;
  return { values, present };
}

function statesIn(values: Float64Array | null): Uint8Array | null {
  if (values === null) return null;
  const states = new Uint8Array(values.length);
  let read = 0;
  for (let i = 0; i < values.length; i++) {
    if (Number.isNaN(values[i])) continue;
    states[i] = values[i] === 0 ? 1 : 2;
    read++;
  }
  return read === 0 ? null : states;
}

export function readingsOf({ count, time_s, numbers, switches }: Columns): Reading[] {
  const [level, current, power, rain, temperature] = numbers;
  const [pump, float, pump2, float2, high, mains] = switches;
  const readings = new Array<Reading>(count);
  for (let i = 0; i < count; i++) {
    readings[i] = {
      time_s: time_s[i] as number,
      level_m: numberAt(level, i),
      pumpOn: switchAt(pump, i),
      floatOn: switchAt(float, i),
      pump2On: switchAt(pump2, i),
      float2On: switchAt(float2, i),
      highFloat: switchAt(high, i),
      pumpCurrent_a: numberAt(current, i),
      pumpPower_w: numberAt(power, i),
      mainsOn: switchAt(mains, i),
      rain_m: numberAt(rain, i),
      temperature_c: numberAt(temperature, i),
    };
  }
  return readings;
}

function numbersOf(readings: readonly Reading[], read: (reading: Reading) => number | null): Numbers {
  const values = new Float64Array(readings.length);
  let present: Uint8Array | null = null;
  for (let i = 0; i < values.length; i++) {
    const value = read(readings[i] as Reading);
    if (value !== null) {
      values[i] = value;
      if (present !== null) present[i] = 1;
    } else {
      values[i] = Number.NaN;
      if (present === null) {
        present = new Uint8Array(values.length);
        present.fill(1, 0, i);
      }
    }
  }
  return { values, present };
}

function switchesOf(readings: readonly Reading[], read: (reading: Reading) => boolean | null): Uint8Array {
  const states = new Uint8Array(readings.length);
  for (let i = 0; i < readings.length; i++) {
    const on = read(readings[i] as Reading);
    if (on !== null) states[i] = on ? 2 : 1;
  }
  return states;
}

function numberAt(column: Numbers | null | undefined, i: number): number | null {
  if (column == null || (column.present !== null && column.present[i] !== 1)) return null;
  return column.values[i] as number;
}

function switchAt(column: Uint8Array | null | undefined, i: number): boolean | null {
  if (column == null) return null;
  const state = column[i];
  return state === 0 ? null : state === 2;
}
