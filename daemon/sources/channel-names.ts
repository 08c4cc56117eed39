// What the channels are called in the site file. Recordings have their own columns, with the unit in the name.

import type { Channel } from "../../analysis/readings/reading.ts";

export const channelNames = {
  level: "level_m",
  pump_on: "pumpOn",
  float_on: "floatOn",
  pump2_on: "pump2On",
  float2_on: "float2On",
  high_float: "highFloat",
  pump_current: "pumpCurrent_a",
  pump_power: "pumpPower_w",
  mains_on: "mainsOn",
  rain: "rain_m",
  temperature: "temperature_c",
} as const satisfies Readonly<Record<string, Channel>>;

/** Channels that are on or off. */
export const switchNames = ["pump_on", "float_on", "pump2_on", "float2_on", "high_float", "mains_on"] as const;
