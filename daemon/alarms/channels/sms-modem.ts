// Text messages by a modem on a serial port: they go out when the internet is down and the router has no power.
// Answers such as `OK 17` acknowledge.

import * as z from "zod";
import { readSecret } from "../../config/named-file.ts";
import { type ChannelContext, defineChannel, type Outcome, type OutgoingMessage } from "./channel.ts";
import { AtError } from "./sms/at-port.ts";
import { explainModem, mayWorkLater } from "./sms/explain-modem.ts";
import { type Modem, startModem } from "./sms/modem.ts";

const config = z.strictObject({
  kind: z.literal("sms-modem"),
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
});

const lookAfter_ms = 600_000;
const day_ms = 86_400_000;
const weakSignal = 5;
/** References are of one octet; a report comes within the message's validity. */
const mostReports = 200;

export const smsModem = defineChannel({
  kind: "sms-modem",
  config,
  comparesKeys: false,
  takesReplies: true,
  addressProblem: (to) =>
    /^\+[1-9]\d{6,14}$/.test(to.replaceAll(/[\s().-]/g, ""))
      ? null
      : `expected an international number such as +1 555 0100, found ${JSON.stringify(to)}`,
  async open(config, context) {
    const pin = config.pin_file === undefined ? null : readPin(config.pin_file, context);
    /** Parts of messages whose report is awaited, by the network's reference. */
    const reports = new Map<number, { readonly key: string; readonly left: Set<number> }>();
    let modem: Modem | null = null;
    let opening: Promise<Modem> | null = null;
    let problem: string | null = null;
    let signal: string | null = null;
    let credit: string | null = null;
    let queue: Promise<unknown> = Promise.resolve();
    let creditAsked_ms = 0;

    function getModem(): Promise<Modem> {
      opening ??= openModem(config, context, pin, {
        onReport(reference, delivered, reason) {
          const report = reports.get(reference);
          reports.delete(reference);
          report?.left.delete(reference);
          if (report !== undefined && (!delivered || report.left.size === 0))
            context.onReceipt(report.key, delivered, reason);
        },
        onCredit(text) {
          credit = text;
        },
        onGone(reason) {
          if (modem !== null) context.log(`the modem is gone: ${reason}`);
          modem = null;
          opening = null;
          problem = `the modem is gone (${reason}); check its plug and its supply`;
        },
      });
      return opening.then(
        (opened) => {
          modem = opened;
          problem = null;
          return opened;
        },
        (error: unknown) => {
          opening = null;
          throw error;
        },
      );
    }

    async function look(): Promise<void> {
      try {
        const at = await getModem();
        const { strength, registered } = await at.signal();
        signal = strength === null ? "signal not known" : `signal ${strength} of 31`;
        problem = !registered
          ? "no mobile network; check aerial and place"
          : strength !== null && strength < weakSignal
            ? `weak signal, ${strength} of 31; move the aerial`
            : null;
        if (config.credit_code !== undefined && Date.now() - creditAsked_ms > day_ms) {
          creditAsked_ms = Date.now();
          await at.askCredit(config.credit_code);
        }
      } catch (error) {
        problem = explainModem(error);
      }
    }

    const timer = setInterval(() => void look(), lookAfter_ms);
    timer.unref();
    await look();

    return {
      send(message, signal_) {
        const outcome = queue.then(() => sendOne(message, signal_));
        queue = outcome;
        return outcome;
      },
      health: () => ({ problem, note: [signal, credit].filter((each) => each !== null).join("; ") || null }),
      close() {
        clearInterval(timer);
        modem?.close();
      },
    };

    async function sendOne({ key, to, text }: OutgoingMessage, given: AbortSignal): Promise<Outcome> {
      if (given.aborted) return { is: "failed", reason: "given up before it was sent", again: true };
      try {
        const references = await (await getModem()).send(to, text);
        const left = new Set(references.filter((reference) => reference >= 0));
        for (const reference of left) reports.set(reference, { key, left });
        for (const oldest of reports.keys()) if (reports.size > mostReports) reports.delete(oldest);
        problem = null;
        return { is: "handed-over" };
      } catch (error) {
        problem = explainModem(error);
        const silent =
          error instanceof AtError && /^(silent|gone)$/.test(error.said) && error.message.startsWith("AT+CMGS");
        return { is: "failed", reason: problem, again: mayWorkLater(error), ...(silent && { mayHaveLeft: true }) };
      }
    }
  },
});

async function openModem(
  { port, speed, mode }: z.output<typeof config>,
  context: ChannelContext,
  pin: string | null,
  told: Pick<Parameters<typeof startModem>[1], "onReport" | "onCredit" | "onGone">,
): Promise<Modem> {
  const { SerialPort } = await import("serialport").catch((cause: unknown) => {
    throw new Error("the package serialport is not installed here; run npm install", { cause });
  });
  const serial = new SerialPort({ path: port, baudRate: speed, autoOpen: false });
  await new Promise<void>((done, fail) => {
    serial.open((error) =>
      error === null || error === undefined ? done() : fail(new Error(explainPort(port, error))),
    );
  });
  return startModem(serial, { pin, mode, onText: context.onReply, log: context.log, ...told });
}

function explainPort(port: string, { message }: Error): string {
  if (/no such file/i.test(message)) return `${port}: no such device; plug the modem in, or correct port`;
  if (/permission|access/i.test(message))
    return `${port}: this user may not open it; add the user to the group dialout`;
  if (/lock|busy/i.test(message)) return `${port}: another program has it; stop that, or correct port`;
  return `${port}: ${message}`;
}

function readPin(path: string, { baseFolder }: ChannelContext): string {
  const pin = readSecret("pin_file", path, baseFolder).trim();
  if (!/^\d{4,8}$/.test(pin)) throw new Error(`pin_file: expected 4 to 8 digits in ${path}, found something else`);
  return pin;
}
