// Puts a modem into the state that sending and receiving need (3GPP TS 27.005 and 27.007). It is asked for before each
// message: one that has started anew in the meantime has forgotten all of it.

import { AtError, type AtPort } from "./at-port.ts";

export interface SetUp {
  readonly pin: string | null;
  readonly mode: "pdu" | "text";
  /** Pause before a card that is not ready yet is asked again. */
  readonly again_ms: number;
}

/** The card took not this PIN: to try it again would lock the card. */
export class WrongPin extends Error {
  override readonly name = "WrongPin";
}

/** A card takes some seconds after the modem's start (common practice, no source). */
const mostAsks = 8;

/** @throws {AtError | WrongPin | Error} when the modem cannot be used, saying what to change */
export async function setUp(port: AtPort, { pin, mode, again_ms }: SetUp): Promise<void> {
  // A modem that wakes up may swallow the first of them.
  await port.command("AT", { within_ms: 1500 }).catch(() => port.command("AT", { within_ms: 3000 }));
  await port.command("ATE0");
  await port.command("AT+CMEE=1").catch(() => {});
  const state = await cardState(port, again_ms);
  if (/SIM PIN$/.test(state)) await unlock(port, pin);
  else if (!/READY$/.test(state))
    throw new Error(`the SIM card says ${state.replace("+CPIN: ", "")}; unlock it in a telephone`);
  await port.command(`AT+CMGF=${mode === "pdu" ? 0 : 1}`);
  if (mode === "text") {
    await port.command('AT+CSCS="GSM"').catch(() => {});
    await port.command("AT+CSMP=49,167,0,0").catch(() => {});
  }
  // Messages and reports straight to us; a modem that cannot keeps them, and says so.
  await port.command("AT+CNMI=2,2,0,1,0").catch(() => port.command("AT+CNMI=2,1,0,2,0").catch(() => []));
}

async function cardState(port: AtPort, again_ms: number): Promise<string> {
  for (let ask = 1; ; ask++) {
    try {
      const lines = await port.command("AT+CPIN?", { expect: "+CPIN:" });
      return lines.findLast((line) => line.startsWith("+CPIN:")) ?? "";
    } catch (error) {
      // 14: the card is busy (TS 27.007, 9.2).
      if (!(error instanceof AtError && /CME ERROR: 14$/.test(error.said)) || ask === mostAsks) throw error;
      await new Promise((resolve) => setTimeout(resolve, again_ms));
    }
  }
}

async function unlock(port: AtPort, pin: string | null): Promise<void> {
  if (pin === null) throw new Error("the SIM card wants its PIN; give it in pin_file");
  // Each start of the daemon would use up a try; the last one stays with the person (AT+CPINR, TS 27.007, 8.65).
  const said = await port.command("AT+CPINR").catch(() => []);
  const left = /^\+CPINR: *SIM PIN *, *(\d+)/m.exec(said.join("\n"))?.[1];
  if (left !== undefined && Number(left) < 2)
    throw new WrongPin("the SIM card has one try left for its PIN; unlock it in a telephone, and correct pin_file");
  await port.command(`AT+CPIN="${pin}"`).catch((cause: unknown) => {
    // Only the card's own refusal: incorrect password, PUK wanted.
    if (!(cause instanceof AtError && /^(ERROR|\+CME ERROR: (11|12|16))$/.test(cause.said))) throw cause;
    throw new WrongPin("the SIM card does not take the PIN in pin_file; correct it before its tries are used up", {
      cause,
    });
  });
}
