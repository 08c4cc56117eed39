// That a record was put back from a copy, and what it has nothing of, as a sentence for the log and for whoever looks from
// afar.

import { iso } from "../../analysis/report/summarize.ts";
import type { PutBack } from "./store.ts";

export function putBackWords({ at_s, from_s, to_s, aside }: PutBack): string {
  const there = aside === null ? "" : ` (it stands aside as ${aside})`;
  return `this record was put back from a copy on ${iso(at_s)}: it has nothing of what was recorded from ${iso(from_s)} to ${iso(to_s)}${there}`;
}
