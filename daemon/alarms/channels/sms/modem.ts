// A modem that sends and receives text messages: sending, signal and credit (3GPP TS 27.005 and 27.007). The port and the
// queue of commands are at-port.ts; the state it must be in is set-up.ts; what comes in is inbox.ts.

import type { Duplex } from "node:stream";
import { AtError, type AtPort, openAtPort } from "./at-port.ts";
import { readCredit } from "./credit.ts";
import { explainModem } from "./explain-modem.ts";
import { type Inbox, type InboxOptions, openInbox } from "./inbox.ts";
import { submitPdus } from "./pdu.ts";
import { setUp, WrongPin } from "./set-up.ts";
import { textModeParts } from "./text-mode.ts";

export interface ModemOptions extends InboxOptions {
  readonly pin: string | null;
  /** What the network answered to the code that asks for the credit. */
  onCredit(text: string): void;
  onGone(reason: string): void;
  /** Shorter in tests. */
  readonly quiet_ms?: number;
  readonly sendWithin_ms?: number;
  readonly again_ms?: number;
}

export interface Modem {
  /**
   * @param onPart told each part's reference as soon as the network has taken it; -1 where the modem gives none
   * @throws {AtError} with what the modem said
   */
  send(to: string, text: string, signal: AbortSignal, onPart: (reference: number) => void): Promise<void>;
  /** 0 to 31; null: not known. And whether the network has taken it in. */
  signal(): Promise<{ readonly strength: number | null; readonly registered: boolean }>;
  askCredit(code: string): Promise<void>;
  /** Gives up what is asked; the stream is closed by whoever opened it. */
  close(): void;
}

/** The network may take so long to take a message (TS 27.005 sets no limit; common practice, no source). */
const sendWithin_ms = 60_000;
const again_ms = 2000;
/** +CMS ERROR 322, and the memory of messages that came in full. */
const memoryFull = /\+CMS ERROR: 322|MEMORY FULL/i;
/** At home or roaming; for text messages alone, at home or roaming (TS 27.007, 7.2). */
const takenIn = [1, 5, 6, 7];

/**
 * @throws {WrongPin} when the card does not take the PIN: to start it again would use up the card's tries
 * @throws {Error}    saying what to change, when the modem cannot be used
 */
export async function startModem(stream: Duplex, options: ModemOptions): Promise<Modem> {
  let reference = Math.floor(Date.now() / 1000) & 0xff;
  const inbox: Inbox = openInbox(() => port, options);
  const port: AtPort = openAtPort(stream, {
    onGone: options.onGone,
    ...(options.quiet_ms !== undefined && { quiet_ms: options.quiet_ms }),
    onUnsolicited(line, next) {
      const kept = /^\+C(?:MT|DS)I: *"(\w+)"/.exec(line)?.[1];
      if (kept !== undefined) void inbox.collect(kept);
      else if (line.startsWith("+CUSD:")) options.onCredit(readCredit(line));
      else inbox.take(line, next);
    },
  });
  const wanted = { pin: options.pin, mode: options.mode, again_ms: options.again_ms ?? again_ms };

  try {
    await prepare();
  } catch (error) {
    port.close();
    throw error instanceof WrongPin ? error : new Error(explainModem(error), { cause: error });
  }
  // What came while nobody listened.
  void inbox.collect();

  /** One that starts anew meanwhile is set up from the beginning. */
  async function prepare(): Promise<void> {
    await setUp(port, wanted).catch((error: unknown) => {
      if (!(error instanceof AtError && error.said === "reset")) throw error;
      return setUp(port, wanted);
    });
  }

  async function submit(command: string, payload: string, signal: AbortSignal): Promise<number> {
    const within_ms = options.sendWithin_ms ?? sendWithin_ms;
    const send = () => port.command(command, { payload, within_ms, expect: "+CMGS:", signal });
    const lines = await send().catch(async (error: unknown) => {
      if (!(error instanceof AtError) || !memoryFull.test(error.said)) throw error;
      await inbox.collect();
      return send();
    });
    const answer = lines.map((line) => /^\+CMGS: *(\d+)/.exec(line)?.[1]).find((each) => each !== undefined);
    return answer === undefined ? -1 : Number(answer);
  }

  return {
    async send(to, text, signal, onPart) {
      await prepare();
      reference = (reference + 1) & 0xff;
      const parts =
        options.mode === "text"
          ? textModeParts(text).map((part) => [`AT+CMGS="${to.replaceAll(/[^\d+*#]/g, "")}"`, part] as const)
          : submitPdus(to, text, reference).map(({ hex, length }) => [`AT+CMGS=${length}`, hex] as const);
      for (const [command, payload] of parts) onPart(await submit(command, payload, signal));
    },
    async signal() {
      await prepare();
      const quality = await port.command("AT+CSQ", { expect: "+CSQ:" });
      const strength = Number(/^\+CSQ: *(\d+)/m.exec(quality.join("\n"))?.[1] ?? 99);
      const registered = (await isTakenIn(port, "CREG")) || (await isTakenIn(port, "CEREG"));
      return { strength: strength > 31 ? null : strength, registered };
    },
    async askCredit(code) {
      await port.command(`AT+CUSD=1,"${code.replaceAll(/[^\d*#]/g, "")}",15`, { within_ms: 20_000 });
    },
    close: () => port.close(),
  };
}

/** By the network's older part or, where there is only that, its newer one (TS 27.007, 7.2 and 10.1.22). */
async function isTakenIn(port: AtPort, registration: "CREG" | "CEREG"): Promise<boolean> {
  const lines = await port.command(`AT+${registration}?`, { expect: `+${registration}:` }).catch((error: unknown) => {
    if (error instanceof AtError && error.said.includes("ERROR")) return [];
    throw error;
  });
  const state = /^\+CE?REG: *\d+ *, *(\d+)/m.exec(lines.join("\n"))?.[1];
  return state !== undefined && takenIn.includes(Number(state));
}
