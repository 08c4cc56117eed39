// A sounder or a lamp in the house, on a GPIO line of the board, through `onoff`: from the message until the alarm is
// acknowledged or over. An annunciator and nothing else: no pump and no valve belongs on such a line.

import * as z from "zod";
import { explainGpioError, explainMissingDriver } from "../../sources/gpio/explain-gpio-error.ts";
import { findLine } from "../../sources/gpio/find-line.ts";
import { type Schedule, schedule } from "../../sources/schedule.ts";
import { lineAt, lineProblem } from "./annunciator/line-at.ts";
import { playPattern } from "./annunciator/play-pattern.ts";
import { giveBackQuiet, type OutputDriver, type TakenOutput, takeOutput } from "./annunciator/take-output.ts";
import { type ChannelContext, defineChannel, type OpenChannel, type Outcome, type OutgoingMessage } from "./channel.ts";

const config = z.lazy(() =>
  z.strictObject({
    kind: z.literal("annunciator").describe("a sounder or lamp on a GPIO line of the board; never the pump"),
    name: z.string().min(1).describe("what contacts and the page call it"),
    active_low: z.boolean().default(false).describe("the line is low while it sounds"),
  }),
);

export const annunciator = defineChannel({
  kind: "annunciator",
  config,
  comparesKeys: true,
  wordless: true,
  takesReplies: false,
  addressProblem: lineProblem,
  open: (config, context) => openAnnunciator(config, context),
});

/** What it stands on; a test has its own. */
export interface AnnunciatorHost {
  /** The kernel's interface. */
  readonly folder: string;
  loadDriver(): Promise<OutputDriver>;
  readonly schedule: Schedule;
}

const board: AnnunciatorHost = {
  folder: "/sys/class/gpio",
  loadDriver: async () => (await import("onoff")).Gpio,
  schedule,
};

interface Line {
  readonly output: TakenOutput;
  /** What it sounds for. */
  readonly reasons: Map<string, OutgoingMessage["priority"]>;
  stop: (() => void) | null;
}

const brief_s = 3;
const takeAgain_s = 10;
const briefly = "briefly";
const mostKnown = 100;

export async function openAnnunciator(
  { active_low }: z.output<typeof config>,
  { addresses, log }: Pick<ChannelContext, "addresses" | "log">,
  host = board,
): Promise<OpenChannel> {
  const lines = new Map<string, Line>();
  let problem: string | null = null;
  let closed = false;
  let driver: Promise<OutputDriver> | null = null;
  /** Somebody knows of these already. */
  const known = new Set<string>();
  // At once, not with the first alarm: a line that a killed daemon left on is off, and one that cannot be had is seen.
  for (const to of new Set(addresses)) await take(to).catch(explain);

  async function take(to: string): Promise<Line> {
    const taken = lines.get(to);
    if (taken !== undefined) return taken;
    driver ??= host.loadDriver();
    const Driver = await driver.catch((error: unknown) => {
      driver = null;
      throw explainMissingDriver(error);
    });
    const address = lineAt(to);
    try {
      const output = takeOutput(Driver, findLine(address, host.folder), active_low, host.folder);
      const line: Line = { output, reasons: new Map(), stop: null };
      lines.set(to, line);
      return line;
    } catch (error) {
      throw explainGpioError(error, address, host.folder);
    }
  }

  function explain(error: unknown): string {
    const reason = error instanceof Error ? error.message : String(error);
    if (reason !== problem) log(reason);
    problem = reason;
    return reason;
  }

  /** By the most urgent of its reasons; quiet without one. */
  function sound(line: Line): void {
    line.stop?.();
    line.stop = null;
    const priorities = new Set(line.reasons.values());
    const priority = (["high", "medium", "low"] as const).find((each) => priorities.has(each));
    if (priority !== undefined) line.stop = playPattern(priority, write(line), host.schedule);
    else line.output.writeSync(0);
  }

  /** A fault in the middle of a pattern is seen on the page; the pattern goes on. */
  function write(line: Line): (on: boolean) => void {
    return (on) => {
      try {
        line.output.writeSync(on ? 1 : 0);
      } catch (error) {
        explain(error);
      }
    };
  }

  function end(line: Line, reason: string): void {
    if (!line.reasons.delete(reason) || closed) return;
    try {
      sound(line);
    } catch (error) {
      explain(error);
    }
  }

  async function send({ to, priority, data }: OutgoingMessage, signal: AbortSignal): Promise<Outcome> {
    if (signal.aborted) return { is: "failed", reason: "given up before it was sent", again: true };
    try {
      const line = await take(to);
      line.output.writeSync(0);
      const told = occurrencesIn(data);
      for (const { occurrence, over } of told) {
        if (over) line.reasons.delete(occurrence);
        else if (!known.has(occurrence)) line.reasons.set(occurrence, priority);
      }
      // A test, and what gets worse after somebody has acknowledged it, is heard and over.
      if (told.every(({ occurrence, over }) => !over && known.has(occurrence))) {
        line.reasons.set(briefly, "high");
        host.schedule(() => end(line, briefly), brief_s);
      }
      problem = null;
      sound(line);
      return { is: "delivered" };
    } catch (error) {
      return { is: "failed", reason: explain(error), again: true };
    }
  }

  async function resume(to: string, occurrence: string, priority: OutgoingMessage["priority"]): Promise<void> {
    if (closed || known.has(occurrence)) return;
    try {
      const line = await take(to);
      if (closed || known.has(occurrence)) return;
      line.reasons.set(occurrence, priority);
      sound(line);
      problem = null;
    } catch (error) {
      explain(error);
      host.schedule(() => void resume(to, occurrence, priority), takeAgain_s);
    }
  }

  return {
    send,
    resume: (...told) => void resume(...told),
    silence(occurrences) {
      for (const occurrence of occurrences) known.add(occurrence);
      for (const oldest of known) if (known.size > mostKnown) known.delete(oldest);
      for (const line of lines.values()) for (const occurrence of occurrences) end(line, occurrence);
    },
    health: () => ({ problem, note: null }),
    close() {
      closed = true;
      for (const { stop, output } of lines.values()) {
        stop?.();
        giveBackQuiet(output);
      }
      lines.clear();
    },
  };
}

/** Of what a message tells; a test tells of none. */
function occurrencesIn(data: OutgoingMessage["data"]): { readonly occurrence: string; readonly over: boolean }[] {
  const alarms = Array.isArray(data.alarms) ? data.alarms : [];
  return alarms.flatMap((alarm: { readonly occurrence?: unknown; readonly kind?: unknown }) =>
    typeof alarm.occurrence === "string" && alarm.occurrence !== ""
      ? [{ occurrence: alarm.occurrence, over: alarm.kind === "over" }]
      : [],
  );
}
