// What comes in by a modem: answers, in one part or several, and the network's reports, straight or out of the memory in
// which the modem keeps them (3GPP TS 27.005, 3.4). What is taken out of a memory is deleted there, so that it stays free.

import type { AtPort } from "./at-port.ts";
import { explainModem } from "./explain-modem.ts";
import { type Part, readPdu } from "./pdu.ts";
import { readTextMode, readTextReport } from "./text-mode.ts";

export interface InboxOptions {
  readonly mode: "pdu" | "text";
  onText(from: string, text: string): void;
  /** The network's report on the message with this reference: delivered, or why not. */
  onReport(reference: number, delivered: boolean, reason: string | null): void;
  log(line: string): void;
}

export interface Inbox {
  /** One that came straight, or a report on one line. */
  take(line: string, next: string | null): void;
  /** Empties a memory, or all of them. */
  collect(memory?: string): Promise<void>;
}

/** The card's, the modem's own, and that of the reports (TS 27.005, 3.2.2). */
const memories = ["SM", "ME", "SR"];
const mostWaiting = 50;

export function openInbox(port: () => AtPort, { mode, onText, onReport, log }: InboxOptions): Inbox {
  const parts = new Map<string, Map<number, string>>();
  let collecting: Promise<void> = Promise.resolve();

  function takePdu(pdu: string): void {
    const message = readPdu(pdu);
    if (message.is === "report") {
      takeStatus(message.reference, message.status);
      return;
    }
    const text = message.part === null ? message.text : join(message.from, message.part, message.text);
    if (text !== null) onText(message.from, text);
  }

  /** 0 to 31 delivered, 32 to 63 still tried, from 64 on given up (TS 23.040, 9.2.3.15). */
  function takeStatus(reference: number, status: number): void {
    if (status < 0x20) onReport(reference, true, null);
    else if (status >= 0x40) onReport(reference, false, `the network gave up (status ${status})`);
  }

  function take(head: string, next: string | null): void {
    try {
      const report = next === null ? readTextReport(head) : null;
      const message = next === null || mode === "pdu" ? null : readTextMode(head, next);
      if (report !== null) takeStatus(report.reference, report.status);
      else if (message !== null) onText(message.from, message.text);
      else if (next !== null && mode === "pdu") takePdu(next);
    } catch (error) {
      log(`cannot read a message: ${error instanceof Error ? error.message : error}`);
    }
  }

  /** The whole text when its last part has come. */
  function join(from: string, { reference: of, of: count, number }: Part, text: string): string | null {
    const key = `${from} ${of}`;
    const have = parts.get(key) ?? new Map<number, string>();
    parts.delete(key);
    have.set(number, text);
    if (have.size < count) {
      parts.set(key, have);
      for (const oldest of parts.keys()) if (parts.size > mostWaiting) parts.delete(oldest);
      return null;
    }
    return [...have]
      .toSorted(([a], [b]) => a - b)
      .map(([, each]) => each)
      .join("");
  }

  async function empty(memory: string): Promise<void> {
    await port().command(`AT+CPMS="${memory}"`, { expect: "+CPMS:" });
    const lines = await port().command(mode === "pdu" ? "AT+CMGL=4" : 'AT+CMGL="ALL"', { within_ms: 20_000 });
    for (const { index, head, text } of listed(lines, mode)) {
      // In text mode a report's listed head is numbers, as on a line of its own.
      if (mode === "text" && /^\+CMGL: *\d+ *, *"[^"]*" *, *\d/.test(head))
        take(head.replace(/^\+CMGL: *\d+ *, *"[^"]*" *,/, "+CDS: "), null);
      else take(head, text);
      await port().command(`AT+CMGD=${index}`);
    }
  }

  return {
    take,
    collect(memory) {
      collecting = collecting.then(async () => {
        const failures: unknown[] = [];
        const from = memory === undefined ? memories : [memory];
        for (const each of from) await empty(each).catch((error: unknown) => failures.push(error));
        // A modem need not have all of them.
        if (failures.length === from.length) log(`cannot read the modem's messages: ${explainModem(failures[0])}`);
      });
      return collecting;
    },
  };
}

interface Listed {
  readonly index: string;
  readonly head: string;
  readonly text: string | null;
}

/** Between head and message there may be a line of the modem's own; in PDU mode that is no hexadecimal. */
function listed(lines: readonly string[], mode: "pdu" | "text"): Listed[] {
  const found: { index: string; head: string; text: string | null }[] = [];
  for (const line of lines) {
    const index = /^\+CMGL: *(\d+)/.exec(line)?.[1];
    const last = found.at(-1);
    if (index !== undefined) found.push({ index, head: line, text: null });
    else if (last === undefined) continue;
    else if (mode === "pdu") {
      if (/^([\dA-F]{2}){8,}$/i.test(line)) last.text ??= line;
    } else last.text = last.text === null ? line : `${last.text}\n${line}`;
  }
  return found;
}
