// One reading: what the board's sensors said at one instant. The only thing that enters the analysis.
// Reading files, topics and pins is the daemon's job.

/** What was seen at one instant; `null` means 'no reading', never 'zero'. A reading may carry one channel or all. */
export interface Reading {
  /** Unix time, UTC, seconds. */
  readonly time_s: number;
  /** Height of the water above the inside bottom of the basin. */
  readonly level_m: number | null;
  /** The pump motor runs (current switch, relay, contact). */
  readonly pumpOn: boolean | null;
  /** The pump's own float calls for pumping. */
  readonly floatOn: boolean | null;
  /** The second pump's motor runs. */
  readonly pump2On: boolean | null;
  /** The second pump's own float calls for pumping. */
  readonly float2On: boolean | null;
  /** The separate high-water float is lifted. */
  readonly highFloat: boolean | null;
  readonly pumpCurrent_a: number | null;
  readonly pumpPower_w: number | null;
  /** The supply is present. */
  readonly mainsOn: boolean | null;
  /** Rain depth since the reading before. */
  readonly rain_m: number | null;
  readonly temperature_c: number | null;
}

/** A measured channel: every key of a reading but its time. */
export type Channel = Exclude<keyof Reading, "time_s">;

export const channels = [
  "level_m",
  "pumpOn",
  "floatOn",
  "pump2On",
  "float2On",
  "highFloat",
  "pumpCurrent_a",
  "pumpPower_w",
  "mainsOn",
  "rain_m",
  "temperature_c",
] as const satisfies readonly Channel[];

/** A reading in which no channel was read; spread it and set what was. */
export const silentReading: Reading = {
  time_s: Number.NaN,
  level_m: null,
  pumpOn: null,
  floatOn: null,
  pump2On: null,
  float2On: null,
  highFloat: null,
  pumpCurrent_a: null,
  pumpPower_w: null,
  mainsOn: null,
  rain_m: null,
  temperature_c: null,
};
