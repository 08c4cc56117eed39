// Readings as points, and back bit for bit. Readings of the very same instant are nanoseconds apart in the database, in
// the order in which they came.

import { type Channel, type Reading, silentReading } from "../../../analysis/readings/reading.ts";
import { stamp, timeIn } from "./instant.ts";
import { booleanIn, type Fields, lineBoolean, lineFloat, lineInteger, type Row } from "./line-values.ts";
import { type Point, pointOf } from "./point.ts";
import { fromSteps, type Grid, gridCode, noGrid, stepsOf } from "./steps.ts";

const numbers = ["level_m", "pumpCurrent_a", "pumpPower_w", "rain_m", "temperature_c"] as const satisfies Channel[];
const switches = ["pumpOn", "floatOn", "pump2On", "float2On", "highFloat", "mainsOn"] as const satisfies Channel[];
type NumberChannel = (typeof numbers)[number];

/** What an encoder remembers, as plain JSON. */
export interface ReadingEncoderState {
  /** Time of the last reading, and how many directly before it had the same. */
  readonly last_s: number | null;
  readonly before: number;
  /** Steps of the sensors so far; forgotten, they are learned again and nothing is lost but a little room. */
  readonly grids: Readonly<Partial<Record<NumberChannel, Grid>>>;
}

export interface ReadingEncoder {
  /** The next reading, in the order of the record. */
  point(reading: Reading): Point;
  /** Beside the place in the record up to which readings have been sent: from there the same readings give the same points. */
  state(): ReadingEncoderState;
}

/** @param resume from `state()` */
export function readingEncoder(basin: string, resume?: ReadingEncoderState): ReadingEncoder {
  let last_s = resume?.last_s ?? null;
  let before = resume?.before ?? 0;
  const grids = structuredClone(resume?.grids ?? {}) as Partial<Record<NumberChannel, Grid>>;

  const put = (fields: Fields, channel: NumberChannel, value: number | null) => {
    if (value === null || !Number.isFinite(value)) return; // what is no number is no reading
    grids[channel] ??= { ...noGrid };
    const steps = stepsOf(grids[channel], value);
    if (steps === null) {
      fields[channel] = lineFloat(value);
    } else {
      fields[`${channel}_steps`] = lineInteger(steps);
      fields[`${channel}_grid`] = lineInteger(gridCode(grids[channel]));
    }
  };

  return {
    point(reading) {
      before = reading.time_s === last_s ? before + 1 : 0;
      last_s = reading.time_s;
      const fields: Fields = {};
      for (const channel of numbers) put(fields, channel, reading[channel]);
      for (const channel of switches) {
        const value = reading[channel];
        if (value !== null) fields[channel] = lineBoolean(value);
      }
      if (Object.keys(fields).length === 0) fields.silent = lineBoolean(true); // a point needs a field
      return pointOf("reading", basin, stamp(fields, "time_s", reading.time_s, before), fields);
    },
    state: () => ({ last_s, before, grids: structuredClone(grids) }),
  };
}

/** Columns of a reading; a channel that was read is in one of its own. */
export const readingColumns = [
  "time_s",
  ...numbers.flatMap((channel) => [channel, `${channel}_steps`, `${channel}_grid`]),
  ...switches,
  "silent",
];

/** Those that tell the level. */
export const levelColumns = ["time_s", "level_m", "level_m_steps", "level_m_grid"];

export function readingIn(row: Row): Reading {
  const reading: { -readonly [Key in keyof Reading]: Reading[Key] } = {
    ...silentReading,
    time_s: timeIn(row, "time_s"),
  };
  for (const channel of numbers) reading[channel] = valueIn(row, channel);
  for (const channel of switches) reading[channel] = booleanIn(row, channel);
  return reading;
}

export function valueIn(row: Row, channel: NumberChannel): number | null {
  const steps = row[`${channel}_steps`];
  if (typeof steps === "number") return fromSteps(row[`${channel}_grid`] as number, steps);
  const value = row[channel];
  return typeof value === "number" ? value : null;
}
