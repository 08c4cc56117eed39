// A modem at the far end of a pseudo-terminal (socat), from the command descriptions of 3GPP TS 27.005 (text messages) and
// 27.007 (PIN, network, signal, codes to the network). It echoes until it is told not to, and can be made to misbehave.

import { type ChildProcess, spawn } from "node:child_process";
import { existsSync, rmSync } from "node:fs";
import { until } from "../until.ts";
import { type ReadSubmit, readSubmit } from "./pdu-by-hand.ts";

export interface Traits {
  /** The card's PIN; null: it wants none. */
  pin: string | null;
  pinTries: number;
  /** Values of +CREG and +CEREG. */
  registration: number;
  packetRegistration: number;
  strength: number;
  /** Commands that get no answer, and whole answers that are given in place of the usual ones. */
  silentOn: RegExp | null;
  instead: (command: string) => string | null;
  /** Pause before each answer. */
  slow_ms: (command: string) => number;
  /** What stands before each answer, such as noise or a line that nobody asked for. */
  before: (command: string) => string;
  after: (command: string) => string;
  /** Takes `AT+CNMI=2,2,…`; one that does not keeps what comes. */
  handsOver: boolean;
  textOnly: boolean;
}

export interface EmulatedModem {
  readonly path: string;
  readonly traits: Traits;
  /** Every command, in order. */
  readonly heard: string[];
  /** What was given at its prompt, also where it says nothing to it. */
  readonly given: string[];
  /** Every message that it took, in PDU mode. */
  readonly sent: ReadSubmit[];
  /** The same in text mode. */
  readonly texts: { readonly to: string; readonly text: string }[];
  /** Stored messages by memory. */
  readonly memory: Map<string, Map<number, string>>;
  /** Sends bytes as they are. */
  say(text: string): void;
  /** Starts anew: forgets all settings. */
  restart(): void;
  unplug(): Promise<void>;
}

const [ctrlZ, escapeKey] = ["\u001a", "\u001b"];
const endOfPayload = new RegExp(`[${ctrlZ}${escapeKey}]`);

/** @param path of the pseudo-terminal, which it makes */
export async function emulateModem(path: string, given: Partial<Traits> = {}): Promise<EmulatedModem> {
  const traits: Traits = {
    ...{ pin: null, pinTries: 3, registration: 1, packetRegistration: 0, strength: 17, silentOn: null },
    ...{
      instead: () => null,
      slow_ms: () => 0,
      before: () => "",
      after: () => "",
      handsOver: true,
      textOnly: false,
      ...given,
    },
  };
  const child: ChildProcess = spawn("socat", ["STDIO", `PTY,link=${path},raw,echo=0`], {
    stdio: ["pipe", "pipe", "ignore"],
  });
  await until("the pseudo-terminal is there", () => existsSync(path));

  let state = fresh(traits.pin === null);
  let reference = 20;
  let buffer = "";
  const modem: EmulatedModem = {
    ...{ path, traits, heard: [], given: [], sent: [], texts: [] },
    memory: new Map([
      ["SM", new Map()],
      ["ME", new Map()],
      ["SR", new Map()],
    ]),
    say: (text) => void child.stdin?.write(text, "latin1"),
    restart() {
      state = fresh(traits.pin === null);
      buffer = "";
      modem.say("\r\nRDY\r\n");
    },
    async unplug() {
      if (child.exitCode !== null || child.signalCode !== null) return;
      const exit = new Promise((resolve) => child.once("exit", resolve));
      child.kill("SIGKILL");
      await exit;
      // A killed socat leaves its link. The next one may be given the same pseudo-terminal: it would seem to be there at
      // once, though still locked.
      rmSync(path, { force: true });
    },
  };
  child.stdin?.on("error", () => {});
  child.stdout?.on("data", (chunk: Buffer) => {
    const text = chunk.toString("latin1");
    if (state.echo) modem.say(text);
    buffer += text;
    for (;;) {
      const end = buffer.search(state.prompt === null ? /\r/ : endOfPayload);
      if (end === -1) break;
      const [taken, ender] = [buffer.slice(0, end), buffer[end]];
      buffer = buffer.slice(end + 1);
      if (state.prompt === null) answer(taken.replaceAll(escapeKey, "").trim());
      else submit(taken, ender === ctrlZ);
    }
  });

  function reply(command: string, text: string): void {
    const whole = `${traits.before(command)}${text}${traits.after(command)}`;
    const pause_ms = traits.slow_ms(command);
    if (pause_ms > 0) setTimeout(() => modem.say(whole), pause_ms);
    else modem.say(whole);
  }

  function answer(command: string): void {
    if (command === "") return;
    modem.heard.push(command);
    if (traits.silentOn?.test(command)) return;
    const instead = traits.instead(command);
    if (instead !== null) reply(command, instead);
    else if (/^AT\+CMGS=/.test(command)) {
      if (!state.open) {
        reply(command, "\r\n+CMS ERROR: 311\r\n");
        return;
      }
      state.prompt = command;
      reply(command, "\r\n> ");
    } else {
      const lines = obey(command);
      reply(
        command,
        lines === null
          ? "\r\nERROR\r\n"
          : [...lines, ""]
              .map((line) => `\r\n${line}\r\n`)
              .join("")
              .replace(/\r\n\r\n$/, "\r\nOK\r\n"),
      );
    }
  }

  function submit(payload: string, confirmed: boolean): void {
    const command = state.prompt ?? "";
    state.prompt = null;
    if (!confirmed) {
      reply("", "\r\nOK\r\n");
      return;
    }
    modem.given.push(payload);
    const instead = traits.instead("payload");
    if (traits.silentOn?.test("payload")) return;
    if (instead !== null) {
      reply("payload", instead);
      return;
    }
    if (state.text) modem.texts.push({ to: /"([^"]*)"/.exec(command)?.[1] ?? "", text: payload });
    else {
      const octets = Number(/=(\d+)$/.exec(command)?.[1]);
      // The length is of the octets after the service centre's (TS 27.005, 4.3).
      if (octets !== payload.length / 2 - 1 - Number.parseInt(payload.slice(0, 2), 16)) {
        reply("payload", "\r\n+CMS ERROR: 304\r\n");
        return;
      }
      modem.sent.push(readSubmit(payload));
    }
    reply("payload", `\r\n+CMGS: ${++reference}\r\n\r\nOK\r\n`);
  }

  /** Lines before `OK`; null is `ERROR`. */
  function obey(command: string): string[] | null {
    const [, name = "", value = ""] = /^AT\+?([A-Z]*\d?\??)=?(.*)$/.exec(command) ?? [];
    if (command === "AT" || /^AT\+CMEE=/.test(command)) return [];
    if (command === "ATE0") {
      state.echo = false;
      return [];
    }
    const memory = modem.memory.get(state.memory) ?? new Map<number, string>();
    switch (name) {
      case "CPIN?":
        return [state.open ? "+CPIN: READY" : traits.pinTries > 0 ? "+CPIN: SIM PIN" : "+CPIN: SIM PUK"];
      case "CPINR":
        return [`+CPINR: SIM PIN,${traits.pinTries},3`];
      case "CPIN":
        state.open = value === `"${traits.pin}"`;
        if (!state.open) traits.pinTries--;
        return state.open ? [] : null;
      case "CMGF":
        if (traits.textOnly && value === "0") return null;
        state.text = value === "1";
        return [];
      case "CNMI":
        return traits.handsOver || value.startsWith("2,1") ? [] : null;
      case "CSQ":
        return [`+CSQ: ${traits.strength},99`];
      case "CREG?":
        return [`+CREG: 0,${traits.registration}`];
      case "CEREG?":
        return [`+CEREG: 0,${traits.packetRegistration}`];
      case "CPMS":
        state.memory = value.replaceAll('"', "");
        return [`+CPMS: ${modem.memory.get(state.memory)?.size ?? 0},20,0,20,0,20`];
      case "CMGL":
        return [...memory].flatMap(([index, message]) =>
          state.text
            ? message.replace("+CMGL: ?", `+CMGL: ${index}`).split("\n")
            : [`+CMGL: ${index},0,,${message.length / 2 - 1}`, message],
        );
      case "CMGD":
        return memory.delete(Number(value)) ? [] : null;
      case "CSCS":
      case "CSMP":
      case "CUSD":
        return [];
      default:
        return null;
    }
  }

  return modem;
}

function fresh(open: boolean) {
  return { echo: true, text: false, prompt: null as string | null, memory: "SM", open };
}
