// A site's name, and whatever people have written, as a text message can say it.

import { gsmLength, nearlyGsm } from "./gsm-alphabet.ts";

const longestName = 24;

/** In the alphabet of text messages: one letter outside it would leave room for less than half of the words. */
export function shortName(siteName: string): string {
  const known = shortNames.get(siteName);
  if (known !== undefined) return known;
  const made = shortened(siteName);
  shortNames.set(siteName, made);
  return made;
}

/** A site has one, and says it in every message. */
const shortNames = new Map<string, string>();

function shortened(siteName: string): string {
  const said = sayable(siteName);
  const name = /[\p{L}\d]/u.test(said) ? said : "Basin";
  return name.length <= longestName ? name : `${name.slice(0, longestName - 1).trimEnd()}.`;
}

export function sayable(text: string): string {
  const known = [...nearlyGsm(text.replaceAll(/\s+/g, " "))].filter((char) => gsmLength(char) !== null).join("");
  return known.replaceAll(/ +/g, " ").trim();
}
