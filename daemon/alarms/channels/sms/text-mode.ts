// Texts for modems that know text mode only: one message each, in characters that cannot be taken for its commands.

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
export function fromPort(text: string): string {
  return fromGsm([...text].map((char) => char.charCodeAt(0)));
}
