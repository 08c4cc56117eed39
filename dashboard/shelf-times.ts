// For how long an alarm may be shelved, as a person chooses it. Pure.

import { duration, roughDuration } from "./format.ts";

const usual_s = [900, 3600, 4 * 3600, 8 * 3600, 86_400, 3 * 86_400, 7 * 86_400];

/** Shortest first; the longest that is allowed is always among them. */
export function shelfTimes(longest_s: number): { readonly for_s: number; readonly words: string }[] {
  return [...usual_s.filter((for_s) => for_s < longest_s), longest_s].map((for_s) => ({
    for_s,
    words: for_s === 86_400 ? "1 day" : for_s < 86_400 ? duration(for_s) : roughDuration(for_s),
  }));
}
