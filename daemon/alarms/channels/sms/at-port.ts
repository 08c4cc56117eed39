// Speaks AT commands over a byte stream: one at a time, each with its answer (ITU-T V.250; 3GPP TS 27.007, 27.005).
// Echo, garbage and answers that come too late are told from the answer that is waited for.

import type { Duplex } from "node:stream";

/** The modem's own refusal, or none in time. */
export class AtError extends Error {
  override readonly name = "AtError";
  /** `+CMS ERROR: 322`, `ERROR`, `silent`, `gone`. */
  readonly said: string;

  constructor(command: string, said: string) {
    super(`${command}: ${said}`);
    this.said = said;
  }
}

export interface AtPort {
  /**
   * Sends a command and gives the lines of its answer, without echo and final result.
   *
   * @param payload sent after the modem's `> `, ended by Ctrl-Z
   * @throws {AtError}
   */
  command(text: string, options?: { readonly within_ms?: number; readonly payload?: string }): Promise<string[]>;
  close(): void;
}

export interface AtPortOptions {
  /** A line that nobody asked for, with the one that belongs to it, if any: `+CMT: ,23` and the PDU. */
  onUnsolicited(line: string, next: string | null): void;
  onGone(reason: string): void;
  /** How long a modem that did not answer is left to finish before it is spoken to again. */
  readonly quiet_ms?: number;
}

interface Waiting {
  readonly text: string;
  readonly payload: string | null;
  readonly lines: string[];
  readonly done: (lines: string[]) => void;
  readonly fail: (error: AtError) => void;
}

const usual_ms = 5000;
const carriageReturn = "\r";
const ctrlZ = "\u001a";
const escapeKey = "\u001b";
const final = /^(OK|ERROR|NO CARRIER|\+CM[ES] ERROR: .*)$/;
/** Lines that come by themselves; the second group has a line of its own after it. */
const unsolicited = /^(\+CMTI:|\+CDSI:|\+CUSD:|RING|\+CRING:|\^|RDY\b|SMS (READY|DONE))/i;
const twoLines = /^(\+CMT:|\+CDS:|\+CBM:)/;
/** Nothing that a modem says is longer; a line without end is noise. */
const longestLine = 4096;

export function openAtPort(stream: Duplex, { onUnsolicited, onGone, quiet_ms = 300 }: AtPortOptions): AtPort {
  let buffer = "";
  let waiting: Waiting | null = null;
  let first: string | null = null;
  let gone: string | null = null;
  let queue: Promise<unknown> = Promise.resolve();

  stream.on("data", (chunk: Buffer) => {
    buffer += chunk.toString("latin1");
    for (let end = buffer.search(/[\r\n]/); end !== -1; end = buffer.search(/[\r\n]/)) {
      const line = buffer.slice(0, end).trim();
      buffer = buffer.slice(end + 1);
      if (line !== "") take(line);
    }
    if (buffer.length > longestLine) buffer = "";
    if (waiting?.payload != null && /^> ?$/.test(buffer)) {
      buffer = "";
      const { payload } = waiting;
      waiting = { ...waiting, payload: null };
      stream.write(`${payload}${ctrlZ}`, "latin1");
    }
  });
  stream.on("error", (error: Error) => end(error.message));
  stream.on("close", () => end("the port was closed"));

  function end(reason: string): void {
    if (gone !== null) return;
    gone = reason;
    waiting?.fail(new AtError(waiting.text, "gone"));
    waiting = null;
    onGone(reason);
  }

  function take(line: string): void {
    if (first !== null) {
      const head = first;
      first = null;
      onUnsolicited(head, line);
      return;
    }
    if (twoLines.test(line)) {
      first = line;
      return;
    }
    // The answer to `AT+CUSD=1` is `OK`; what the network says comes by itself, as do the others.
    if (unsolicited.test(line)) {
      onUnsolicited(line, null);
      return;
    }
    if (waiting === null) return; // a late answer, or noise
    if (line === waiting.text || line.startsWith(`${waiting.text}\r`)) return; // echo
    if (!final.test(line)) {
      waiting.lines.push(line);
      return;
    }
    const { done, fail, lines, text } = waiting;
    waiting = null;
    if (line === "OK") done(lines);
    else fail(new AtError(text, line));
  }

  async function ask(text: string, payload: string | null, within_ms: number): Promise<string[]> {
    if (gone !== null) throw new AtError(text, "gone");
    let timer: NodeJS.Timeout | undefined;
    try {
      return await new Promise<string[]>((done, fail) => {
        waiting = { text, payload, lines: [], done, fail };
        timer = setTimeout(() => fail(new AtError(text, "silent")), within_ms);
        stream.write(`${text}${carriageReturn}`, "latin1");
      });
    } catch (error) {
      waiting = null;
      if (error instanceof AtError && error.said === "silent") await comeToRest();
      throw error;
    } finally {
      clearTimeout(timer);
    }
  }

  /** Leaves a prompt that may be open, and lets what comes too late go by, so that it answers nothing that is asked next. */
  async function comeToRest(): Promise<void> {
    stream.write(`${escapeKey}${carriageReturn}`, "latin1");
    await new Promise((resolve) => setTimeout(resolve, quiet_ms));
    buffer = "";
    first = null;
  }

  return {
    command(text, { within_ms = usual_ms, payload } = {}) {
      const answer = queue.then(() => ask(text, payload ?? null, within_ms));
      queue = answer.catch(() => {});
      return answer;
    },
    close() {
      gone ??= "closed";
      stream.destroy();
    },
  };
}
