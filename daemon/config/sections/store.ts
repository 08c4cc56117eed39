// Section `store`: where the record is, how soon readings are on the card, how long they are kept.

import { basename, extname, resolve } from "node:path";
import * as z from "zod";
import type { Channel } from "../../../analysis/readings/reading.ts";
import { quantity } from "../quantity.ts";
import type { SiteFile } from "../site-file.ts";

/** As the columns of a recording are called, without their units. */
const channelOf = {
  ...{ level: "level_m", rain: "rain_m", temperature: "temperature_c" },
  ...{ pump_on: "pumpOn", float_on: "floatOn", pump2_on: "pump2On", float2_on: "float2On", high_float: "highFloat" },
  ...{ pump_current: "pumpCurrent_a", pump_power: "pumpPower_w", mains_on: "mainsOn" },
} as const satisfies Record<string, Channel>;

const keepShape = () =>
  Object.fromEntries(
    Object.keys(channelOf).map((name) => {
      const words = name.replaceAll("_", " ");
      return [name, quantity("duration", { min: "7 d" }).optional().describe(`how long ${words} is kept`)];
    }),
  ) as Record<keyof typeof channelOf, z.ZodOptional<ReturnType<typeof quantity>>>;

export const storeSchema = () =>
  z.strictObject({
    path: z
      .string()
      .min(1)
      .optional()
      .describe("file of the readings; by default beside the site file, with its name and the ending `.sqlite`"),
    flush: quantity("duration", { min: "1 s", max: "10 min" })
      .optional()
      .describe("readings are on the card after so long at most, `60 s` by default; less costs a page of it each time"),
    keep_readings: quantity("duration", { min: "7 d" })
      .optional()
      .describe("older readings are dropped, `400 d` by default; roll-ups, cycles and findings stay for ever"),
    keep: z
      .strictObject(keepShape())
      .optional()
      .describe("channels that are kept longer or shorter than the others: `{ rain: 3650 d, pump_current: 60 d }`"),
  });

/** @param sitePath of the site file, beside which the record is by default */
export function toStoreConfig(
  keys: z.output<ReturnType<typeof storeSchema>>,
  baseFolder: string,
  sitePath: string,
): SiteFile["store"] {
  const { path = `${basename(sitePath, extname(sitePath))}.sqlite`, flush, keep_readings, keep } = keys;
  return {
    path: resolve(baseFolder, path),
    ...(flush !== undefined && { flush_s: flush }),
    ...(keep_readings !== undefined && { keepReadings_s: keep_readings }),
    ...(keep !== undefined && { keepChannels_s: byChannel(keep) }),
  };
}

function byChannel(keep: Partial<Record<string, number>>): Partial<Record<Channel, number>> {
  const found: Partial<Record<Channel, number>> = {};
  for (const [name, channel] of Object.entries(channelOf)) {
    const keep_s = keep[name];
    if (keep_s !== undefined) found[channel] = keep_s;
  }
  return found;
}
