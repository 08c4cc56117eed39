// A modem that sends and receives text messages: set up, sending, what comes in, signal and credit
// (3GPP TS 27.005 and 27.007). The port and the queue of commands are at-port.ts; what a message looks like is pdu.ts.

import type { Duplex } from "node:stream";
import { AtError, type AtPort, openAtPort } from "./at-port.ts";
import { explainModem } from "./explain-modem.ts";
import { type Part, readPdu, submitPdus } from "./pdu.ts";
import { textModeParts } from "./text-mode.ts";

export interface ModemOptions {
  readonly pin: string | null;
  readonly mode: "pdu" | "text";
  onText(from: string, text: string): void;
  /** The network's report on the message with this reference: delivered, or why not. */
  onReport(reference: number, delivered: boolean, reason: string | null): void;
  /** What the network answered to the code that asks for the credit. */
  onCredit(text: string): void;
  onGone(reason: string): void;
  log(line: string): void;
  /** Shorter in tests. */
  readonly quiet_ms?: number;
  readonly sendWithin_ms?: number;
}

export interface Modem {
  /**
   * @returns the network's references of its parts
   * @throws {AtError} with what the modem said
   */
  send(to: string, text: string): Promise<number[]>;
  /** 0 to 31; null: not known. And whether the network has taken it in. */
  signal(): Promise<{ readonly strength: number | null; readonly registered: boolean }>;
  askCredit(code: string): Promise<void>;
  close(): void;
}

/** The network may take so long to take a message (TS 27.005 sets no limit; common practice, no source). */
const sendWithin_ms = 60_000;
/** +CMS ERROR 322, and the memory of messages that came in full. */
const memoryFull = /\+CMS ERROR: 322|MEMORY FULL/i;

/** @throws {Error} saying what to change, when the modem cannot be used */
export async function startModem(stream: Duplex, options: ModemOptions): Promise<Modem> {
  const parts = new Map<string, Map<number, string>>();
  let reference = Math.floor(Date.now() / 1000) & 0xff;
  const port = openAtPort(stream, {
    onGone: options.onGone,
    ...(options.quiet_ms !== undefined && { quiet_ms: options.quiet_ms }),
    onUnsolicited(line, next) {
      if (next !== null) void takePdu(next);
      else if (/^\+CM?TI:|^\+CDSI:/.test(line)) void collect();
      else if (line.startsWith("+CUSD:")) options.onCredit(/"([^"]*)"/.exec(line)?.[1] ?? line);
      else if (/MEMFULL/i.test(line)) void collect();
    },
  });

  try {
    await setUp(port, options);
  } catch (error) {
    port.close();
    throw new Error(explainModem(error), { cause: error });
  }
  void collect();

  /** Messages that the modem keeps, and those that came while nobody listened: taken, then deleted, so that its memory stays free. */
  async function collect(): Promise<void> {
    try {
      const lines = await port.command("AT+CMGL=4", { within_ms: 20_000 });
      for (let i = 0; i + 1 < lines.length; i++) {
        const index = /^\+CMGL: *(\d+)/.exec(lines[i] ?? "")?.[1];
        const pdu = lines[i + 1];
        if (index === undefined || pdu === undefined) continue;
        await takePdu(pdu);
        await port.command(`AT+CMGD=${index}`);
      }
    } catch (error) {
      options.log(`modem: cannot read its messages: ${explainModem(error)}`);
    }
  }

  async function takePdu(pdu: string): Promise<void> {
    try {
      const message = readPdu(pdu);
      if (message.is === "report") {
        // 0 to 31 delivered, 32 to 63 still tried, from 64 on given up (TS 23.040, 9.2.3.15).
        if (message.status < 0x20) options.onReport(message.reference, true, null);
        else if (message.status >= 0x40)
          options.onReport(message.reference, false, `the network gave up (status ${message.status})`);
        return;
      }
      const text = message.part === null ? message.text : join(message.from, message.part, message.text);
      if (text !== null) options.onText(message.from, text);
    } catch (error) {
      options.log(`modem: ${error instanceof Error ? error.message : error}`);
    }
  }

  /** The whole text when its last part has come; at most some tens are kept waiting. */
  function join(from: string, { reference: of, of: count, number }: Part, text: string): string | null {
    const key = `${from} ${of}`;
    const have = parts.get(key) ?? new Map<number, string>();
    parts.delete(key);
    have.set(number, text);
    if (have.size < count) {
      parts.set(key, have);
      for (const oldest of parts.keys()) if (parts.size > 50) parts.delete(oldest);
      return null;
    }
    return [...have]
      .toSorted(([a], [b]) => a - b)
      .map(([, each]) => each)
      .join("");
  }

  async function submit(command: string, payload: string): Promise<number> {
    const within_ms = options.sendWithin_ms ?? sendWithin_ms;
    const send = () => port.command(command, { payload, within_ms });
    const lines = await send().catch(async (error: unknown) => {
      if (!(error instanceof AtError) || !memoryFull.test(error.said)) throw error;
      await collect();
      return send();
    });
    const answer = lines.map((line) => /^\+CMGS: *(\d+)/.exec(line)?.[1]).find((each) => each !== undefined);
    return answer === undefined ? -1 : Number(answer);
  }

  return {
    async send(to, text) {
      const references: number[] = [];
      if (options.mode === "text") {
        for (const part of textModeParts(text))
          references.push(await submit(`AT+CMGS="${to.replaceAll(/[^\d+*#]/g, "")}"`, part));
        return references;
      }
      reference = (reference + 1) & 0xff;
      for (const { hex, length } of submitPdus(to, text, reference))
        references.push(await submit(`AT+CMGS=${length}`, hex));
      return references;
    },
    async signal() {
      const [quality, network] = [await port.command("AT+CSQ"), await port.command("AT+CREG?")];
      const strength = Number(/^\+CSQ: *(\d+)/.exec(quality.join("\n"))?.[1] ?? 99);
      const state = Number(/^\+CREG: *\d+ *, *(\d+)/m.exec(network.join("\n"))?.[1] ?? 0);
      return { strength: strength > 31 ? null : strength, registered: state === 1 || state === 5 };
    },
    async askCredit(code) {
      await port.command(`AT+CUSD=1,"${code.replaceAll(/[^\d*#]/g, "")}",15`, { within_ms: 20_000 });
    },
    close: () => port.close(),
  };
}

async function setUp(port: AtPort, { pin, mode }: ModemOptions): Promise<void> {
  // A modem that wakes up may swallow the first of them.
  await port.command("AT", { within_ms: 1500 }).catch(() => port.command("AT", { within_ms: 3000 }));
  await port.command("ATE0");
  await port.command("AT+CMEE=1").catch(() => {});
  const [state = ""] = (await port.command("AT+CPIN?")).filter((line) => line.startsWith("+CPIN:"));
  if (/SIM PIN$/.test(state)) {
    if (pin === null) throw new Error("the SIM card wants its PIN; give it in pin_file");
    // Once only: the third wrong one locks the card.
    await port.command(`AT+CPIN="${pin}"`).catch((cause: unknown) => {
      throw new Error("the SIM card does not take the PIN in pin_file; correct it before its tries are used up", {
        cause,
      });
    });
  } else if (!/READY$/.test(state))
    throw new Error(`the SIM card says ${state.replace("+CPIN: ", "")}; unlock it in a telephone`);
  await port.command(`AT+CMGF=${mode === "pdu" ? 0 : 1}`);
  if (mode === "text") {
    await port.command('AT+CSCS="GSM"').catch(() => {});
    await port.command("AT+CSMP=49,167,0,0").catch(() => {});
  }
  // Messages and reports straight to us; a modem that cannot keeps them, and says so.
  await port.command("AT+CNMI=2,2,0,1,0").catch(() => port.command("AT+CNMI=2,1,0,2,0").catch(() => []));
}
