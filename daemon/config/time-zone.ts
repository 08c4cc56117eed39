// A time zone by its IANA name, as the runtime knows it.

import * as z from "zod";
import { describeFound } from "./explain-issue.ts";

export const timeZone = z.string().refine(isTimeZone, {
  error: ({ input }) => `expected a time zone's IANA name, such as America/Toronto, found ${describeFound(input)}`,
});

/** A name or an offset; a whole date would do for `Temporal`, too. */
const shape = /^(?:[a-z].*|[+-]\d\d(?::?\d\d)?)$/i;

/** `Intl` knows the same ones, but takes 15 ms to load its words first. */
function isTimeZone(name: string): boolean {
  if (!shape.test(name)) return false;
  try {
    Temporal.Instant.fromEpochMilliseconds(0).toZonedDateTimeISO(name);
    return true;
  } catch {
    return false;
  }
}
