// A float or contact on a GPIO line of the board, through `onoff`. Repeats what the contact says; what it means is
// worked out in the analysis.

import * as z from "zod";
import { at, evenIfIncomplete, report } from "../config/cross-check.ts";
import { quantity } from "../config/quantity.ts";
import { channelNames, switchNames } from "./channel-names.ts";
import { explainGpioError, explainMissingDriver } from "./gpio/explain-gpio-error.ts";
import { findLine } from "./gpio/find-line.ts";
import { type GpioDriver, giveBack, type TakenLine, takeLine } from "./gpio/take-line.ts";
import { type LineWatchOptions, watchLine } from "./gpio/watch-line.ts";
import { type Schedule, schedule } from "./schedule.ts";
import { defineSource, type OpenSource, type SourceContext } from "./source.ts";

const config = z.lazy(() =>
  z
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
        .describe("how long the line must stand still to count; one that chatters ten times as long is taken as it is"),
      pull: z
        .literal("as-is", {
          error: ({ input }) =>
            `expected as-is, found ${JSON.stringify(input)}: the kernel's interface sets no pull resistor; ` +
            "set it in the board's device tree or boot configuration, or fit one",
        })
        .default("as-is")
        .describe("pull resistor; only `as-is`, as the board's device tree or boot configuration sets it"),
    })
    .superRefine(checkLine, evenIfIncomplete),
);

type GpioConfig = z.output<typeof config>;

export const gpio = defineSource({ kind: "gpio", config, open: (config, context) => openGpio(config, context) });

/** What the source stands on; a test has its own. */
export interface GpioHost {
  /** The kernel's interface. */
  readonly folder: string;
  loadDriver(): Promise<GpioDriver>;
  readonly schedule: Schedule;
}

const board: GpioHost = {
  folder: "/sys/class/gpio",
  loadDriver: async () => (await import("onoff")).Gpio, // a native part that a machine without GPIO lacks
  schedule,
};

export async function openGpio(config: GpioConfig, context: SourceContext, host = board): Promise<OpenSource> {
  const { folder, schedule } = host;
  const number = findLine(config, folder);
  const driver = await host.loadDriver().catch((error: unknown) => {
    throw explainMissingDriver(error);
  });
  const say = (value: boolean | null) =>
    context.emit({ time_s: context.now_s(), [channelNames[config.channel]]: value });
  try {
    const line = takeLine(driver, number, config.active_low);
    return watchOrGiveBack(line, {
      debounce_s: config.debounce,
      now_s: context.now_s,
      schedule,
      onValue: say,
      onFault(error) {
        say(null);
        context.fail(explainGpioError(error, config, folder));
      },
    });
  } catch (error) {
    throw explainGpioError(error, config, folder);
  }
}

function watchOrGiveBack(line: TakenLine, options: LineWatchOptions): OpenSource {
  try {
    return watchLine(line, options);
  } catch (error) {
    giveBack(line);
    throw error;
  }
}

function checkLine(config: unknown, context: z.core.$RefinementCtx): void {
  const given = ["chip", "offset", "line"].filter((key) => at(config, key) !== undefined);
  if (given.join() === "line" || given.join() === "chip,offset") return;
  const found = given.length === 0 ? "none of them" : given.join(" and ");
  report(context, [], `expected chip and offset, or line, found ${found}`);
}
