// Text messages as a modem takes and gives them: SMS-SUBMIT out, SMS-DELIVER and SMS-STATUS-REPORT in, in hexadecimal
// (3GPP TS 23.040, 9.2.2). What is not understood is refused with its place, never guessed.

import { fromGsm } from "../../gsm-alphabet.ts";
import { type Segments, segmentsOf } from "./segments.ts";
import { packSeptets, unpackSeptets } from "./septets.ts";

/** As `AT+CMGS=<length>` wants it: octets without those of the service centre. */
export interface SubmitPdu {
  readonly hex: string;
  readonly length: number;
}

/**
 * @param to        number, international with `+` or as dialled
 * @param reference number that joins the parts of one text, 0 to 255
 * @returns one PDU for each part; each asks for a status report
 */
export function submitPdus(to: string, text: string, reference: number): SubmitPdu[] {
  const { alphabet, parts } = segmentsOf(text);
  return parts.map((part, i) => {
    const header = parts.length === 1 ? [] : [5, 0, 3, reference & 0xff, parts.length, i + 1];
    const { octets, count } = userData(alphabet, part, header);
    const first = 0x01 | 0x10 | 0x20 | (header.length > 0 ? 0x40 : 0); // submit, relative validity, report wanted, header
    const bytes = [
      ...[0, first, 0], // service centre of the SIM; reference given by the modem
      ...addressOctets(to),
      ...[0, alphabet === "gsm" ? 0x00 : 0x08, validFor12h],
      count,
      ...octets,
    ];
    return { hex: hex(bytes), length: bytes.length - 1 };
  });
}

/** (value + 1) × 5 min up to 143 (TS 23.040, 9.2.3.12.1): 143 is 12 hours, after which an alarm is no news. */
const validFor12h = 143;

function userData(
  alphabet: Segments["alphabet"],
  part: readonly number[],
  header: readonly number[],
): { readonly octets: readonly number[]; readonly count: number } {
  if (alphabet === "ucs2") {
    const octets = [...header, ...part.flatMap((unit) => [unit >> 8, unit & 0xff])];
    return { octets, count: octets.length };
  }
  const headerSeptets = Math.ceil((header.length * 8) / 7);
  const fill = headerSeptets * 7 - header.length * 8;
  return { octets: [...header, ...packSeptets(part, fill)], count: headerSeptets + part.length };
}

function addressOctets(number: string): number[] {
  const digits = number.replaceAll(/[^\d*#]/g, "");
  const type = number.trim().startsWith("+") ? 0x91 : 0x81;
  const padded = digits.length % 2 === 0 ? digits : `${digits}F`;
  const pairs = padded.match(/../g) ?? [];
  return [digits.length, type, ...pairs.map(([low = "0", high = "0"]) => (nibble(high) << 4) | nibble(low))];
}

function nibble(char: string): number {
  const found = nibbles.indexOf(char);
  if (found === -1) throw new RangeError(`telephone number: expected digits, * and #, found ${JSON.stringify(char)}`);
  return found;
}

const nibbles = "0123456789*#abcF";

export type IncomingPdu =
  | { readonly is: "text"; readonly from: string; readonly text: string; readonly part: Part | null }
  | { readonly is: "report"; readonly reference: number; readonly to: string; readonly status: number };

export interface Part {
  readonly reference: number;
  readonly of: number;
  readonly number: number;
}

/** @throws {RangeError} naming what was expected at which octet */
export function readPdu(text: string): IncomingPdu {
  const octets = fromHex(text);
  let at = 0;
  const next = (what: string): number => {
    const octet = octets[at];
    if (octet === undefined) throw new RangeError(`text message: expected ${what} at octet ${at}, found its end`);
    at++;
    return octet;
  };
  const take = (count: number, what: string): Uint8Array => {
    if (at + count > octets.length)
      throw new RangeError(
        `text message: expected ${count} octets of ${what} at octet ${at}, found ${octets.length - at}`,
      );
    at += count;
    return octets.subarray(at - count, at);
  };
  take(next("the service centre's length"), "service centre");
  const first = next("the kind of message");
  const kind = first & 0x03;
  if (kind === 2) {
    const reference = next("the message's reference");
    const to = address();
    take(14, "time stamps");
    return { is: "report", reference, to, status: next("the status") };
  }
  if (kind !== 0) throw new RangeError(`text message: expected one received or a status report, found kind ${kind}`);
  const from = address();
  next("the protocol");
  const coding = next("the coding");
  take(7, "time stamp");
  const count = next("the text's length");
  return { is: "text", from, ...readUserData(octets.subarray(at), count, coding, (first & 0x40) !== 0) };

  function address(): string {
    const digits = next("the length of a number");
    const type = next("the kind of number");
    const packed = take(Math.ceil(digits / 2), "number");
    // Alphanumeric senders, such as a company's name, are packed septets; their length counts half octets.
    if ((type & 0x70) === 0x50) return fromGsm(unpackSeptets(packed, Math.floor((digits * 4) / 7)));
    const number = [...packed].map((octet) => `${nibbles[octet & 15]}${nibbles[octet >> 4]}`).join("");
    return `${(type & 0x70) === 0x10 ? "+" : ""}${number.slice(0, digits)}`;
  }
}

function readUserData(
  octets: Uint8Array,
  count: number,
  coding: number,
  hasHeader: boolean,
): { readonly text: string; readonly part: Part | null } {
  const headerLength = hasHeader ? (octets[0] ?? 0) + 1 : 0;
  const part = hasHeader ? partOf(octets.subarray(1, headerLength)) : null;
  const alphabet = alphabetOf(coding);
  if (alphabet === "gsm") {
    const headerSeptets = Math.ceil((headerLength * 8) / 7);
    const fill = headerSeptets * 7 - headerLength * 8;
    return { text: fromGsm(unpackSeptets(octets.subarray(headerLength), count - headerSeptets, fill)), part };
  }
  const body = octets.subarray(headerLength, count);
  const text = alphabet === "ucs2" ? new TextDecoder("utf-16be").decode(body) : new TextDecoder("latin1").decode(body);
  return { text, part };
}

/** TS 23.038, 4: the general group, and the groups with a message class. */
function alphabetOf(coding: number): "gsm" | "octets" | "ucs2" {
  if ((coding & 0xf0) === 0xf0) return (coding & 0x04) === 0 ? "gsm" : "octets";
  if ((coding & 0xf0) === 0xe0) return "ucs2";
  if ((coding & 0x80) !== 0) return "gsm";
  return (["gsm", "octets", "ucs2", "gsm"] as const)[(coding >> 2) & 3] ?? "gsm";
}

/** The header's element that joins parts: with one octet of reference (0), or two (8). */
function partOf(header: Uint8Array): Part | null {
  for (let i = 0; i + 1 < header.length; ) {
    const [id, length] = [header[i] ?? 0, header[i + 1] ?? 0];
    const at = i + 2;
    if (id === 0 && length === 3)
      return { reference: header[at] ?? 0, of: header[at + 1] ?? 1, number: header[at + 2] ?? 1 };
    if (id === 8 && length === 4) {
      const reference = ((header[at] ?? 0) << 8) | (header[at + 1] ?? 0);
      return { reference, of: header[at + 2] ?? 1, number: header[at + 3] ?? 1 };
    }
    i = at + length;
  }
  return null;
}

function hex(octets: readonly number[]): string {
  return octets
    .map((octet) => octet.toString(16).padStart(2, "0"))
    .join("")
    .toUpperCase();
}

function fromHex(text: string): Uint8Array {
  if (!/^([\dA-F]{2})+$/i.test(text))
    throw new RangeError(
      `text message: expected pairs of hexadecimal digits, found ${JSON.stringify(text.slice(0, 40))}`,
    );
  return Uint8Array.from(text.match(/../g) ?? [], (pair) => Number.parseInt(pair, 16));
}
