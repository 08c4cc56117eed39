// What the API answers about the phones that are told, as zod schemas.

import * as z from "zod";
import type { PhonesAnswer, ShownAnswer } from "../phones-types.ts";
import { number, time_s } from "./schema-parts.ts";

export const phonesAnswer = z.strictObject({
  publicKey: z.string().nullable().describe("what a browser needs to subscribe; null where phones are not told"),
  problem: z.string().nullable().describe("why they are not"),
  secureAddress: z.string().nullable().describe("of the page under https, as its owner says"),
  people: z.array(
    z.strictObject({
      name: z.string(),
      by: z.string().nullable().describe("channel; null where the phone is nobody's any more"),
      phones: z.array(
        z.strictObject({
          id: z.string(),
          name: z.string(),
          since_s: time_s,
          took_s: number.describe("when the push service last took something for it"),
          shown_s: number.describe("when it last said itself that it showed something"),
          ended: z.strictObject({ at_s: time_s, reason: z.string() }).nullable().describe("it is told no more"),
          problem: z.string().nullable().describe("why it was not reached last time"),
        }),
      ),
    }),
  ),
}) satisfies z.ZodType<PhonesAnswer>;

export const shownAnswer = z.strictObject({
  known: z.boolean().describe("it was sent that message"),
}) satisfies z.ZodType<ShownAnswer>;
