// Speaks AT commands over a byte stream: one at a time, each with its answer (ITU-T V.250; 3GPP TS 27.007, 27.005).
// Echo, garbage and answers that come too late are told from the answer that is waited for.

import type { Duplex } from "node:stream";

/** The modem's own refusal, or none in time. */
export class AtError extends Error {
  override readonly name = "AtError";
  /** `+CMS ERROR: 322`, `ERROR`, `silent`, `gone`, `reset`, `given up`. */
  readonly said: string;
  /** The payload had gone out: the modem may have acted on it. */
  readonly payloadLeft: boolean;

  constructor(command: string, said: string, payloadLeft = false) {
    super(`${command}: ${said}`);
    this.said = said;
    this.payloadLeft = payloadLeft;
  }
}

export interface CommandOptions {
  readonly within_ms?: number;
  /** Sent after the modem's `> `, ended by Ctrl-Z. */
  readonly payload?: string;
  /** Begin of a line without which the answer belongs to another command: `+CSQ:`. */
  readonly expect?: string;
  /** Given up: what has not gone out by then does not go out. */
  readonly signal?: AbortSignal | undefined;
}

export interface AtPort {
  /**
   * Sends a command and gives the lines of its answer, without echo and final result.
   *
   * @throws {AtError}
   */
  command(text: string, options?: CommandOptions): Promise<string[]>;
  /** Gives up what is asked; the stream is closed by whoever opened it. */
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
  payload: string | null;
  payloadLeft: boolean;
  readonly expect: string | null;
  readonly lines: string[];
  readonly done: (lines: string[]) => void;
  readonly fail: (error: AtError) => void;
}

const usual_ms = 5000;
const carriageReturn = "\r";
const ctrlZ = "\u001a";
const escapeKey = "\u001b";
const final = /^(OK|ERROR|NO CARRIER|\+CM[ES] ERROR: .*)$/;
/** Lines that come by themselves. */
const unsolicited = /^(\+CMTI:|\+CDSI:|\+CDS: *\d+ *,|\+CUSD:|RING|\+CRING:|\^)/i;
/** What modems say when they have started (common practice, no source). */
const started = /^(RDY|\^SYSSTART|SMS (READY|DONE))$/i;
/** In PDU mode, and `+CMT:` in either, the message stands on the next line. */
const twoLines = /^(\+CMT:|\+CDS: *\d+$|\+CBM:)/;
/** Of a list, the line after the head is a message's text, whatever it looks like. */
const headOfListed = /^\+CMG[LR]:/;
/** Nothing that a modem says is longer; a line without end is noise. */
const longestLine = 4096;

export function openAtPort(stream: Duplex, { onUnsolicited, onGone, quiet_ms = 300 }: AtPortOptions): AtPort {
  let buffer = "";
  let waiting: Waiting | null = null;
  /** A line that the next one belongs to. */
  let first: string | null = null;
  let gone: string | null = null;
  let queue: Promise<unknown> = Promise.resolve();

  stream.on("data", (chunk: Buffer) => {
    buffer += chunk.toString("latin1");
    for (;;) {
      givePayload();
      const end = buffer.search(/[\r\n]/);
      if (end === -1) break;
      const line = buffer.slice(0, end).trim();
      buffer = buffer.slice(end + 1);
      if (line !== "") take(line);
    }
    if (buffer.length > longestLine) buffer = "";
  });
  stream.on("error", (error: Error) => end(error.message));
  stream.on("close", () => end("the port was closed"));

  /** The prompt is at the beginning of a line; something unsolicited may follow it in the same breath. */
  function givePayload(): void {
    const start = /^[\r\n]*> ?/.exec(buffer);
    if (start === null || waiting === null || waiting.payload === null) return;
    buffer = buffer.slice(start[0].length);
    const { payload } = waiting;
    waiting.payload = null;
    waiting.payloadLeft = true;
    stream.write(`${payload}${ctrlZ}`, "latin1");
  }

  function end(reason: string): void {
    if (gone !== null) return;
    gone = reason;
    refuse("gone");
    onGone(reason);
  }

  function refuse(said: string): void {
    const refused = waiting;
    waiting = null;
    refused?.fail(new AtError(refused.text, said, refused.payloadLeft));
  }

  function take(line: string): void {
    if (first !== null) {
      const head = first;
      first = null;
      if (head.startsWith("+CUSD:")) takeUnsolicited(`${head}\n${line}`);
      else onUnsolicited(head, line);
    } else if (started.test(line)) {
      refuse("reset");
      onUnsolicited(line, null);
    } else if (headOfListed.test(waiting?.lines.at(-1) ?? "") && !unsolicited.test(line) && !twoLines.test(line))
      waiting?.lines.push(line);
    else if (twoLines.test(line)) first = line;
    else if (unsolicited.test(line)) takeUnsolicited(line);
    else if (waiting !== null) takeAnswer(waiting, line);
    // Else a late answer, or noise.
  }

  /** What the network says of a credit may have several lines, up to the closing quote. */
  function takeUnsolicited(line: string): void {
    const open = line.startsWith("+CUSD:") && line.split('"').length === 2 && line.split("\n").length < 10;
    if (open) first = line;
    else onUnsolicited(line, null);
  }

  function takeAnswer(to: Waiting, line: string): void {
    if (line === to.text) return; // echo
    if (!final.test(line)) {
      to.lines.push(line);
      return;
    }
    const complete =
      to.payload === null && (to.expect === null || to.lines.some((each) => startsWith(each, to.expect)));
    if (line !== "OK") refuse(line);
    else if (complete) {
      waiting = null;
      to.done(to.lines);
    } else to.lines.length = 0; // the late answer to a command before
  }

  async function ask(text: string, options: CommandOptions): Promise<string[]> {
    const { payload = null, expect = null, within_ms = usual_ms, signal } = options;
    if (gone !== null) throw new AtError(text, "gone");
    if (signal?.aborted) throw new AtError(text, "given up");
    const timer = setTimeout(() => refuse("silent"), within_ms);
    const giveUp = () => refuse("given up");
    signal?.addEventListener("abort", giveUp, { once: true });
    try {
      return await new Promise<string[]>((done, fail) => {
        waiting = { text, payload, payloadLeft: false, expect, lines: [], done, fail };
        stream.write(`${text}${carriageReturn}`, "latin1");
      });
    } catch (error) {
      if (error instanceof AtError && /^(silent|given up)$/.test(error.said)) await comeToRest();
      throw error;
    } finally {
      clearTimeout(timer);
      signal?.removeEventListener("abort", giveUp);
    }
  }

  /** Leaves a prompt that may be open, and lets what comes too late go by, so that it answers nothing that is asked next. */
  async function comeToRest(): Promise<void> {
    if (gone !== null) return;
    stream.write(`${escapeKey}${carriageReturn}`, "latin1");
    await new Promise((resolve) => setTimeout(resolve, quiet_ms));
    buffer = "";
    first = null;
  }

  return {
    command(text, options = {}) {
      const answer = queue.then(() => ask(text, options));
      queue = answer.catch(() => {});
      return answer;
    },
    close() {
      gone ??= "closed";
      refuse("gone");
    },
  };
}

function startsWith(line: string, expect: string | null): boolean {
  return expect !== null && line.startsWith(expect);
}
