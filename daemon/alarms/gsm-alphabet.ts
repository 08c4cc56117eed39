// The default alphabet of text messages and what a text takes in it (3GPP TS 23.038, 6.2.1, with its extension table).

const basic =
  "@£$¥èéùìòÇ\nØø\rÅåΔ_ΦΓΛΩΠΨΣΘΞ\u001bÆæßÉ !\"#¤%&'()*+,-./0123456789:;<=>?¡ABCDEFGHIJKLMNOPQRSTUVWXYZÄÖÑÜ§¿abcdefghijklmnopqrstuvwxyzäöñüà";
const escapeCode = 0x1b;
const extension: Readonly<Record<string, number>> = {
  "\f": 0x0a,
  "^": 0x14,
  "{": 0x28,
  "}": 0x29,
  "\\": 0x2f,
  "[": 0x3c,
  "~": 0x3d,
  "]": 0x3e,
  "|": 0x40,
  "€": 0x65,
};

const codes = new Map<string, readonly number[]>([
  ...[...basic].map((char, code) => [char, [code]] as const).filter(([, [code]]) => code !== escapeCode),
  ...Object.entries(extension).map(([char, code]) => [char, [escapeCode, code]] as const),
]);

/** The septets of a text, one or two for each character; null where a character is not in the alphabet. */
export function gsmSeptets(text: string): readonly (readonly number[])[] | null {
  const septets: (readonly number[])[] = [];
  for (const char of text) {
    const code = codes.get(char);
    if (code === undefined) return null;
    septets.push(code);
  }
  return septets;
}

/** How many septets a text takes; null where it is not in the alphabet. */
export function gsmLength(text: string): number | null {
  let sum = 0;
  for (const char of text) {
    const code = codes.get(char);
    if (code === undefined) return null;
    sum += code.length;
  }
  return sum;
}

/** Text of septets; what the alphabet does not have comes as a question mark. */
export function fromGsm(septets: readonly number[]): string {
  const extended = new Map(Object.entries(extension).map(([char, code]) => [code, char]));
  let text = "";
  for (let i = 0; i < septets.length; i++) {
    const code = septets[i] ?? 0;
    // An escape before a code that the table does not have: the code of the basic table (6.2.1.1).
    if (code === escapeCode) {
      const next = septets[++i];
      text += next === undefined ? " " : (extended.get(next) ?? basic[next] ?? "?");
    } else text += basic[code] ?? "?";
  }
  return text;
}

/** A text message holds so many septets, and of characters outside the alphabet so many UTF-16 units (TS 23.038, 23.040). */
export const septetsOfOne = 160;
export const unitsOfOne = 70;

/**
 * The text as the alphabet can say it, where it nearly can: typographic quotes and dashes plain, letters without the marks
 * that it lacks. What has no such likeness stays, and the message then goes as UCS-2.
 */
export function nearlyGsm(text: string): string {
  return [...text.normalize("NFC")]
    .map((char) => {
      if (codes.has(char)) return char;
      const alike = likeness[char] ?? char.normalize("NFKD").replaceAll(/\p{M}/gu, "");
      return alike !== "" && [...alike].every((each) => codes.has(each)) ? alike : char;
    })
    .join("");
}

const likeness: Readonly<Record<string, string>> = {
  "\u2018": "'",
  "\u2019": "'",
  "\u201c": '"',
  "\u201d": '"',
  "\u2010": "-",
  "\u2011": "-",
  "\u2013": "-",
  "\u2014": "-",
  "\u2026": "...",
  "\u00a0": " ",
  "\t": " ",
  "\u0060": "'",
  "°": "deg",
  µ: "u",
  "±": "+/-",
  "×": "x",
};
