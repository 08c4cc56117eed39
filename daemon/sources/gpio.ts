// A float or contact on a GPIO line of the board, through `onoff`. Repeats what the contact says; what it means is
// worked out in the analysis.

import * as z from "zod";
import { at, evenIfIncomplete, report } from "../config/cross-check.ts";
import { quantity } from "../config/quantity.ts";
import { switchNames } from "./channel-names.ts";
import { defineSource } from "./source.ts";

export const gpio = defineSource({
  kind: "gpio",

  config: z
    .strictObject({
      kind: z.literal("gpio").describe("a float or contact on a GPIO line"),
      name: z.string().min(1).describe("shown on the page"),
      channel: z.enum(switchNames).describe("what the contact says"),
      chip: z.string().min(1).optional().describe("label of the GPIO chip, as `gpiodetect` shows it in brackets"),
      offset: z.int().min(0).optional().describe("number of the line on that chip"),
      line: z.int().min(0).optional().describe("the kernel's own number of the line, in place of `chip` and `offset`"),
      active_low: z.boolean().default(false).describe("the line is low while the contact says yes"),
      debounce: quantity("duration", { max: "5 s" })
        .prefault("50 ms")
        .describe("how long the line must stand still before it counts; one that chatters on is taken as it is then"),
      pull: z
        .literal("as-is", {
          error: ({ input }) =>
            `expected as-is, found ${JSON.stringify(input)}: the kernel offers no pull resistor here; ` +
            "set it in the board's device tree or boot configuration",
        })
        .default("as-is")
        .describe("pull resistor; only `as-is`, as the board's device tree or boot configuration sets it"),
    })
    .superRefine(checkLine, evenIfIncomplete),

  open() {
    throw new Error("gpio: not there yet");
  },
});

function checkLine(config: unknown, context: z.core.$RefinementCtx): void {
  const given = ["chip", "offset", "line"].filter((key) => at(config, key) !== undefined);
  if (given.join() === "line" || given.join() === "chip,offset") return;
  const found = given.length === 0 ? "none of them" : given.join(" and ");
  report(context, [], `expected chip and offset, or line, found ${found}`);
}
