// The network's answer to the code that asks for a card's credit, `+CUSD: 0,"Credit 5.00",15` (3GPP TS 27.007, 7.15).

import { fromGsm } from "../../gsm-alphabet.ts";
import { unpackSeptets } from "./septets.ts";

/** The text in it; where the modem gives it in hexadecimal, by its coding (TS 23.038, 5): UCS-2 for 72, else septets. */
export function readCredit(line: string): string {
  const [, text, coding = "15"] = /"([^"]*)"?(?: *, *(\d+))?/.exec(line) ?? [];
  if (text === undefined) return line.replace(/^\+CUSD: */, "network's answer ");
  const plain = text.replaceAll(/\s+/g, " ").trim();
  // Digits alone are an amount, unless the coding says otherwise.
  if (!/^([\dA-F]{2}){6,}$/i.test(plain) || (coding !== "72" && !/[A-F]/i.test(plain))) return plain;
  const octets = Uint8Array.from(plain.match(/../g) ?? [], (pair) => Number.parseInt(pair, 16));
  if (coding === "72") return new TextDecoder("utf-16be").decode(octets).trim();
  return fromGsm(unpackSeptets(octets, Math.floor((octets.length * 8) / 7))).replace(/[\r@]+$/, "");
}
