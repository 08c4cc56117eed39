// Text messages by a modem on a serial port: they go out when the internet is down and the router has no power.
// Answers such as `OK 17` acknowledge.

import * as z from "zod";
import { readSecret } from "../../config/named-file.ts";
import { type ChannelContext, defineChannel, type Outcome, type OutgoingMessage } from "./channel.ts";
import { AtError } from "./sms/at-port.ts";
import { awaitReports } from "./sms/awaited-reports.ts";
import { explainModem, mayWorkLater } from "./sms/explain-modem.ts";
import { type Modem, type ModemOptions, startModem } from "./sms/modem.ts";
import { openSerialPort } from "./sms/serial-port.ts";
import { WrongPin } from "./sms/set-up.ts";

const config = z.lazy(() =>
  z.strictObject({
    kind: z.literal("sms-modem").describe("text messages by a modem, without the internet"),
    name: z.string().min(1).describe("what contacts and the page call it"),
    port: z.string().min(1).describe("serial device, best by its lasting name under /dev/serial/by-id/"),
    speed: z.int().min(1200).max(4_000_000).default(115_200).describe("baud"),
    mode: z
      .enum(["pdu", "text"])
      .default("pdu")
      .describe("`text` for a modem that knows no other; long texts then go numbered"),
    pin_file: z.string().min(1).optional().describe("file whose first line is the SIM card's PIN"),
    credit_code: z
      .string()
      .regex(/^[\d*#]+$/)
      .optional()
      .describe("code that asks the network for a prepaid card's credit, such as `*100#`; asked once a day"),
  }),
);

type ModemConfig = z.output<typeof config>;

/** A modem that is there is looked at so often; one that is gone is looked for at every tick. */
const lookAfter_s = 600;
const tick_ms = 30_000;
const day_s = 86_400;
const weakSignal = 5;
const tooLate: Outcome = { is: "failed", reason: "given up before it was sent", again: true };

export const smsModem = defineChannel({
  kind: "sms-modem",
  config,
  comparesKeys: false,
  takesReplies: true,
  addressProblem: (to) =>
    /^\+[1-9]\d{6,14}$/.test(to.replaceAll(/[\s().-]/g, ""))
      ? null
      : `expected an international number such as +1 555 0100, found ${JSON.stringify(to)}`,
  open: (config, context) => openSmsModem(config, context),
});

/** @param pace shorter pauses, for tests */
export async function openSmsModem(
  config: ModemConfig,
  context: ChannelContext,
  pace: Pick<ModemOptions, "quiet_ms" | "sendWithin_ms" | "again_ms"> = {},
) {
  const pin = config.pin_file === undefined ? null : readPin(config.pin_file, context);
  const reports = awaitReports(context.onReceipt);
  let opening: Promise<Modem> | null = null;
  let modem: Modem | null = null;
  /** The card's word on the PIN holds until the daemon is started again. */
  let wrongPin: WrongPin | null = null;
  let problem: string | null = null;
  let signal: string | null = null;
  let credit: string | null = null;
  let queue: Promise<unknown> = Promise.resolve();
  let looked_s = Number.NEGATIVE_INFINITY;
  let creditAsked_s = Number.NEGATIVE_INFINITY;
  let closed = false;

  async function getModem(): Promise<Modem> {
    if (wrongPin !== null) throw wrongPin;
    if (closed) throw new Error("the channel is closed");
    opening ??= start();
    try {
      modem = await opening;
      return modem;
    } catch (error) {
      opening = null;
      throw error;
    }
  }

  async function start(): Promise<Modem> {
    const serial = await openSerialPort(config.port, config.speed);
    const told = {
      ...{ mode: config.mode, pin, log: context.log, onText: context.onReply, onReport: reports.take, ...pace },
      onCredit(text: string) {
        credit = text;
      },
      onGone: forget,
    };
    try {
      const started = await startModem(serial.stream, told);
      const close = () => {
        started.close();
        serial.close();
      };
      return { ...started, close };
    } catch (error) {
      serial.close();
      throw error;
    }
  }

  function forget(reason: string): void {
    if (modem === null || closed) return;
    context.log(`the modem is gone: ${reason}`);
    problem = `the modem is gone (${reason}); check its plug and its supply`;
    letGo();
  }

  /** The next message opens the port anew. */
  function letGo(): void {
    modem?.close();
    modem = null;
    opening = null;
  }

  /** What is wrong is a problem until a message goes or the next look finds it mended. */
  function explain(error: unknown): string {
    problem = explainModem(error);
    if (error instanceof WrongPin) wrongPin = error;
    if (error instanceof AtError && error.said === "silent" && !error.payloadLeft) letGo();
    return problem;
  }

  async function look(): Promise<void> {
    try {
      const at = await getModem();
      looked_s = context.now_s();
      const { strength, registered } = await at.signal();
      signal = strength === null ? "signal not known" : `signal ${strength} of 31`;
      problem = registered ? weakness(strength) : "no mobile network; check aerial and place";
      if (config.credit_code === undefined || context.now_s() - creditAsked_s < day_s) return;
      creditAsked_s = context.now_s();
      await at.askCredit(config.credit_code);
    } catch (error) {
      if (!closed) explain(error);
    }
  }

  async function sendOne({ key, to, text }: OutgoingMessage, given: AbortSignal): Promise<Outcome> {
    if (given.aborted) return tooLate;
    let left = 0;
    try {
      const at = await getModem();
      const outgoing = reports.begin(key);
      await at.send(to, text, given, (reference) => {
        left++;
        outgoing.part(reference);
      });
      outgoing.complete();
      problem = null;
      return { is: "handed-over" };
    } catch (error) {
      const mayHaveLeft = left > 0 || (error instanceof AtError && error.payloadLeft && notRefused(error));
      return { is: "failed", reason: explain(error), again: mayWorkLater(error), ...(mayHaveLeft && { mayHaveLeft }) };
    }
  }

  const timer = setInterval(() => {
    if (modem === null || context.now_s() - looked_s >= lookAfter_s) void look();
  }, tick_ms);
  timer.unref();
  await look();

  return {
    send(message: OutgoingMessage, given: AbortSignal): Promise<Outcome> {
      let begun = false;
      const outcome = queue.then(() => {
        begun = true;
        return sendOne(message, given);
      });
      queue = outcome;
      return new Promise((resolve) => {
        given.addEventListener("abort", () => begun || resolve(tooLate), { once: true });
        void outcome.then(resolve);
      });
    },
    health: () => ({ problem, note: [signal, credit].filter((each) => each !== null).join("; ") || null }),
    async close() {
      if (closed) return;
      closed = true;
      clearInterval(timer);
      (modem ?? (await opening?.catch(() => null)))?.close();
    },
  };
}

function weakness(strength: number | null): string | null {
  return strength !== null && strength < weakSignal ? `weak signal, ${strength} of 31; move the aerial` : null;
}

/** Nobody knows then whether the network has it. */
function notRefused({ said }: AtError): boolean {
  return /^(silent|gone|reset|given up)$/.test(said);
}

function readPin(path: string, { baseFolder }: ChannelContext): string {
  const pin = readSecret("pin_file", path, baseFolder).trim();
  if (!/^\d{4,8}$/.test(pin)) throw new Error(`pin_file: expected 4 to 8 digits in ${path}, found something else`);
  return pin;
}
