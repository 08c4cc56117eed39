// Texts for modems that know text mode only: one message each, in characters that cannot be taken for its commands; and
// what comes in that mode (3GPP TS 27.005, 3.1).

import { fromGsm, gsmSeptets, nearlyGsm, septetsOfOne } from "../../gsm-alphabet.ts";

/** Characters that need an escape, which in text mode would break the message off. */
const plain: Readonly<Record<string, string>> = {
  "[": "(",
  "{": "(",
  "]": ")",
  "}": ")",
  "\\": "/",
  "|": "/",
  "~": "-",
  "^": "'",
  "€": "EUR",
  "\f": " ",
  "\n": " ",
  "\r": " ",
};

/**
 * As the port takes them, a byte for each character of the GSM alphabet; several, numbered, where one does not hold the
 * text. What the alphabet lacks becomes a question mark: text mode knows no other.
 */
export function textModeParts(text: string): string[] {
  const said = [...nearlyGsm(text)]
    .map((char) => plain[char] ?? char)
    .map((char) => ([...char].every((each) => gsmSeptets(each) !== null) ? char : "?"))
    .join("");
  if (said.length <= septetsOfOne) return [toPort(said)];
  const room = septetsOfOne - "(10/10) ".length;
  const count = Math.ceil(said.length / room);
  return Array.from({ length: count }, (_, i) => toPort(`(${i + 1}/${count}) ${said.slice(i * room, (i + 1) * room)}`));
}

function toPort(text: string): string {
  return (gsmSeptets(text) ?? [])
    .flat()
    .map((septet) => String.fromCharCode(septet))
    .join("");
}

/** What a port that speaks the GSM alphabet was given. */
function fromPort(text: string): string {
  return fromGsm([...text].map((char) => char.charCodeAt(0)));
}

/**
 * A message from its head and its text: `+CMT: "+15550100",,"26/03/04,06:10:00+00"` or
 * `+CMGL: 3,"REC UNREAD","+15550100",,"…"`; null where the head names no sender.
 */
export function readTextMode(head: string, text: string): { readonly from: string; readonly text: string } | null {
  const quoted = [...head.matchAll(/"([^"]*)"/g)].map(([, inside = ""]) => inside);
  const from = head.startsWith("+CMT:") ? quoted[0] : quoted[1];
  return from === undefined || from === "" ? null : { from, text: fromPort(text) };
}

/** The message's reference and status of a report on one line, `+CDS: 6,12,"+15550100",145,"…","…",0`; null for any other line. */
export function readTextReport(line: string): { readonly reference: number; readonly status: number } | null {
  const found = /^\+CDS: *\d+ *, *(\d+) *,.*, *(\d+)$/.exec(line);
  return found === null ? null : { reference: Number(found[1]), status: Number(found[2]) };
}
