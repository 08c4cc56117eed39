// A time zone by its IANA name, as the runtime knows it.

import * as z from "zod";
import { describeFound } from "./explain-issue.ts";

export const timeZone = z.string().refine(isTimeZone, {
  error: ({ input }) => `expected a time zone's IANA name, such as America/Toronto, found ${describeFound(input)}`,
});

function isTimeZone(name: string): boolean {
  try {
    new Intl.DateTimeFormat("en", { timeZone: name });
    return true;
  } catch {
    return false;
  }
}
