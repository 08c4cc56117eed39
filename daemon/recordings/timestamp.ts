// Times as recordings write them: ISO 8601 with an offset (or without, when the recording's time zone is known), or
// whole milliseconds since 1970. Day before month and the like are not read: nothing is guessed.

import type { ByteCursor } from "./decimal.ts";
import type { LocalTime } from "./local-time.ts";

export interface TimestampReader {
  /** From bytes in the usual fixed shape; NaN when the stamp is not in it and wants `parse`. ms since 1970. */
  read(view: DataView, start: number, cursor: ByteCursor): number;
  /** From text in any shape of ISO 8601 that names date, hours and minutes. A text in return says what is wrong. */
  parse(text: string): number | string;
}

const COLON = 0x3a;
const POINT = 0x2e;
const ZERO = 0x30;
const PLUS = 0x2b;
const MINUS = 0x2d;
const minute_ms = 60_000;

/** @param zone where stamps without an offset were written; null: such a stamp is an error */
export function timestampReader(zone: LocalTime | null): TimestampReader {
  // Neighbouring rows mostly share `YYYY-MM-DDTHH:MM`: four words to compare instead of sixteen digits to read.
  let word0 = 0;
  let word1 = 0;
  let word2 = 0;
  let word3 = 0;
  let minute = Number.NaN;
  let before_ms = Number.NaN;

  const local = (wall_ms: number, { resolve }: LocalTime) => {
    const time_ms = resolve(wall_ms, before_ms);
    if (!Number.isNaN(time_ms)) before_ms = time_ms;
    return time_ms;
  };

  return {
    read(view, start, cursor) {
      const w0 = view.getInt32(start);
      const w1 = view.getInt32(start + 4);
      const w2 = view.getInt32(start + 8);
      const w3 = view.getInt32(start + 12);
      if (w3 !== word3 || w2 !== word2 || w1 !== word1 || w0 !== word0) {
        minute = readMinute(view, start);
        word0 = w0;
        word1 = w1;
        word2 = w2;
        word3 = w3;
      }
      const seconds = view.getInt32(start + 16); // `:SS` and the byte after it
      const tens = ((seconds >> 16) & 0xff) - ZERO;
      const ones = ((seconds >> 8) & 0xff) - ZERO;
      if (seconds >> 24 !== COLON || tens >>> 0 > 5 || ones >>> 0 > 9) return Number.NaN;
      let time_ms = minute + (tens * 10 + ones) * 1000;
      let position = start + 19;
      let byte = seconds & 0xff;
      if (byte === POINT) {
        const fraction = view.getInt32(start + 20); // `mmm` and the byte after it
        time_ms += threeDigits(fraction >> 8);
        position += 4;
        byte = fraction & 0xff;
      }
      if (Number.isNaN(time_ms)) return time_ms;
      cursor.end = position + 1;
      if (byte === 0x5a) return time_ms; // Z
      if (byte === PLUS || byte === MINUS) {
        const offset = fourDigits(view, position + 1, COLON);
        cursor.end = position + 6;
        return byte === PLUS ? time_ms - offset : time_ms + offset;
      }
      cursor.end = position;
      return zone !== null && byte !== COLON && (byte < ZERO || byte > 0x39) ? local(time_ms, zone) : Number.NaN;
    },

    parse(text) {
      const match = extended.exec(text) ?? basic.exec(text);
      if (match === null) return "expected ISO 8601, such as 2026-03-08T14:00:00Z";
      const { year, month, day, hour, minute, second = "0", fraction = "", offset } = match.groups ?? {};
      const date_ms = dateOf(Number(year), Number(month), Number(day));
      const inDay_ms = timeOfDay(Number(hour), Number(minute), Number(second));
      if (Number.isNaN(date_ms + inDay_ms)) return "expected a date and time that exist";
      const wall_ms = date_ms + inDay_ms + fractionOf(fraction);
      if (offset !== undefined) {
        const offset_ms = offsetOf(offset);
        return Number.isNaN(offset_ms) ? "expected an offset from UTC such as Z or -05:00" : wall_ms - offset_ms;
      }
      if (zone === null)
        return "expected an offset from UTC such as Z or -05:00, or the recording's time zone (--timezone, or recording.timezone in the site file)";
      const time_ms = local(wall_ms, zone);
      return Number.isNaN(time_ms) ? `expected a time that exists in ${zone.zone} (clocks go forward)` : time_ms;
    },
  };
}

/** Whole milliseconds since 1970 from bytes; NaN when not in plain digits. */
export function readMilliseconds(view: DataView, start: number, cursor: ByteCursor): number {
  let position = start;
  let value = 0;
  let digit = view.getUint8(position) - ZERO;
  while (digit >= 0 && digit <= 9) {
    value = value * 10 + digit;
    digit = view.getUint8(++position) - ZERO;
  }
  cursor.end = position;
  return position === start || position - start > 15 ? Number.NaN : value;
}

/** The last instant that ECMAScript can name, 8.64e15 ms, is far enough. */
export function parseMilliseconds(text: string): number | string {
  const value = /^[+-]?\d{1,16}$/.test(text) ? Number(text) : Number.NaN;
  return Math.abs(value) <= 8.64e15 ? value : "expected whole milliseconds since 1970";
}

const offsetText = "(?<offset>[Zz]|[+-]\\d\\d(?::?\\d\\d)?)?$";
const extended = new RegExp(
  `^(?<year>\\d{4})-(?<month>\\d\\d)-(?<day>\\d\\d)(?:[Tt]| +)(?<hour>\\d\\d):(?<minute>\\d\\d)(?::(?<second>\\d\\d)(?:[.,](?<fraction>\\d{1,12}))?)?${offsetText}`,
);
const basic = new RegExp(
  `^(?<year>\\d{4})(?<month>\\d\\d)(?<day>\\d\\d)[Tt](?<hour>\\d\\d)(?<minute>\\d\\d)(?:(?<second>\\d\\d)(?:[.,](?<fraction>\\d{1,12}))?)?${offsetText}`,
);

/** Of `YYYY-MM-DDTHH:MM`, as if it were UTC; NaN when it is not that. */
function readMinute(view: DataView, start: number): number {
  const separator = view.getUint8(start + 10);
  if (separator !== 0x54 && separator !== 0x20) return Number.NaN; // T or a blank
  if (view.getUint8(start + 4) !== MINUS || view.getUint8(start + 7) !== MINUS) return Number.NaN;
  const year = twoDigits(view, start) * 100 + twoDigits(view, start + 2);
  const date_ms = dateOf(year, twoDigits(view, start + 5), twoDigits(view, start + 8));
  const hourAndMinute_ms = fourDigits(view, start + 11, COLON);
  return hourAndMinute_ms < 86_400_000 ? date_ms + hourAndMinute_ms : Number.NaN;
}

/** `hh:mm` in ms; NaN when it is not that. */
function fourDigits(view: DataView, start: number, between: number): number {
  if (view.getUint8(start + 2) !== between) return Number.NaN;
  return timeOfDay(twoDigits(view, start), twoDigits(view, start + 3), 0);
}

/** From three bytes in a number, the first one highest. */
function threeDigits(bytes: number): number {
  const hundreds = ((bytes >> 16) & 0xff) - ZERO;
  const tens = ((bytes >> 8) & 0xff) - ZERO;
  const ones = (bytes & 0xff) - ZERO;
  if (hundreds >>> 0 > 9 || tens >>> 0 > 9 || ones >>> 0 > 9) return Number.NaN;
  return hundreds * 100 + tens * 10 + ones;
}

function twoDigits(view: DataView, start: number): number {
  const tens = view.getUint8(start) - ZERO;
  const ones = view.getUint8(start + 1) - ZERO;
  return tens < 0 || tens > 9 || ones < 0 || ones > 9 ? Number.NaN : tens * 10 + ones;
}

/** Midnight of a date of the Gregorian calendar; NaN when the date does not exist. Years 0 to 9999. */
function dateOf(year: number, month: number, day: number): number {
  const date = new Date(0);
  date.setUTCFullYear(year, month - 1, day);
  return date.getUTCMonth() === month - 1 && date.getUTCDate() === day ? date.getTime() : Number.NaN;
}

/** A leap second counts as the first of the next minute. */
function timeOfDay(hour: number, minute: number, second: number): number {
  return hour <= 23 && minute <= 59 && second <= 60 ? (hour * 60 + minute) * minute_ms + second * 1000 : Number.NaN;
}

function fractionOf(digits: string): number {
  const milliseconds = Number(digits.slice(0, 3).padEnd(3, "0"));
  return digits.length > 3 ? milliseconds + Number(`0.${digits.slice(3)}`) : milliseconds;
}

function offsetOf(text: string): number {
  if (text === "Z" || text === "z") return 0;
  const digits = text.replace(":", "");
  const size_ms = timeOfDay(Number(digits.slice(1, 3)), Number(digits.slice(3) || "0"), 0);
  return text.startsWith("-") ? -size_ms : size_ms;
}
