// The `channels` group of an MQTT source: for each channel its topic and how to read the messages on it.

import * as z from "zod";
import { toSi, type Unit, unitsOf } from "../../../analysis/units/unit.ts";
import { jsonPath } from "./json-path.ts";

const common = () => ({
  topic: z
    .string()
    .min(1)
    .regex(/^[^#+]*$/, {
      error: ({ input }) => `expected one topic, without wildcards, found ${JSON.stringify(input)}`,
    })
    .describe("topic of the messages"),
  path: jsonPath.optional().describe("where the value stands in a JSON message; without it, the message is the value"),
  time: jsonPath
    .optional()
    .describe("where the time stands: ISO 8601 with an offset, or seconds or milliseconds since 1970; else arrival"),
});

const switchChannel = () =>
  z.strictObject({
    ...common(),
    invert: z.boolean().default(false).describe("read on, true, 1 and closed as no"),
    retained: z.boolean().default(true).describe("take a value that the broker kept from before; its age is unknown"),
  });

function measuredChannel<const U extends string>(units: readonly U[]) {
  return z.strictObject({
    ...common(),
    unit: z.enum(units).describe("unit of the number"),
    scale: z.number().default(1).describe("the number is multiplied by this first"),
    offset: z.number().default(0).describe("then this is added, in the same unit"),
    retained: z.boolean().default(false).describe("take a value that the broker kept from before; its age is unknown"),
  });
}

export const channelsSchema = z.lazy(() =>
  z
    .strictObject({
      level: measuredChannel(unitsOf("length")).optional().describe("height of the water above the inside bottom"),
      pump_on: switchChannel().optional().describe("the pump's motor runs"),
      float_on: switchChannel().optional().describe("the pump's own float calls for pumping"),
      pump2_on: switchChannel().optional().describe("the second pump's motor runs"),
      float2_on: switchChannel().optional().describe("the second pump's own float calls for pumping"),
      high_float: switchChannel().optional().describe("the high-water float is lifted"),
      pump_current: measuredChannel(["A", "mA"]).optional().describe("the motor's current"),
      pump_power: measuredChannel(unitsOf("power")).optional().describe("the motor's real power"),
      mains_on: switchChannel().optional().describe("the supply is present"),
      rain: measuredChannel(unitsOf("length")).optional().describe("rain since the message before"),
      temperature: measuredChannel(unitsOf("temperature")).optional().describe("of the water or the air"),
    })
    .refine((channels) => Object.values(channels).some((channel) => channel !== undefined), {
      error: "expected at least one channel, found none",
    }),
);

export type Channels = z.output<typeof channelsSchema>;
export type SwitchChannel = z.output<ReturnType<typeof switchChannel>>;
export type MeasuredChannel = Omit<SwitchChannel, "invert"> & {
  readonly unit: Unit | "A" | "mA";
  readonly scale: number;
  readonly offset: number;
};

/** A number in the channel's unit → SI. */
export function channelToSi(value: number, unit: MeasuredChannel["unit"]): number {
  if (unit === "A") return value;
  return unit === "mA" ? value / 1000 : toSi(value, unit);
}
