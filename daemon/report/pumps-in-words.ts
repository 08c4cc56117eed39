// Two pumps for a person at the command line: what each did, and what stands when one of them fails.

import type { ReportPump, ReportSummary } from "../../analysis/report/report.ts";
import { durationInWords as duration } from "../config/duration-in-words.ts";

type Flow = (lpm: number) => string;

/** None with one pump. */
export function pumpsInWords({ pumps, sizing }: ReportSummary, flow: Flow): string[] {
  if (pumps === undefined) return [];
  const [first, second] = pumps;
  const { both_capacity_lpm: both = null } = sizing;
  return [
    onePump(first, "pump 1", flow),
    onePump(second, "pump 2", flow),
    both === null ? "both together: not known, they never ran at once for long enough" : `both together: ${flow(both)}`,
  ];
}

/** On what the margin stands; null with one pump. */
export function withOneFailed({ pumps, sizing }: ReportSummary, flow: Flow): string | null {
  const { firm_capacity_lpm: firm = null, margin } = sizing;
  if (pumps === undefined || firm === null || margin === null) return null;
  return `with one pump failed, ${flow(firm)} is left: ${Number(margin.toPrecision(2))} times the peak over ten minutes`;
}

function onePump(
  { name, starts, run_s, most_starts_in_an_hour, rate }: ReportPump,
  number: string,
  flow: Flow,
): string {
  const who = name ?? number;
  if (starts === null || run_s === null) return `${who}: not watched, the recording has no pump2_on and no float2_on`;
  if (starts === 0 && run_s === 0) return `${who}: never ran in this recording; see that it works before it is needed`;
  const counts = `${starts} start${starts === 1 ? "" : "s"}, at most ${most_starts_in_an_hour} in an hour; ran ${duration(run_s)}`;
  const moves = rate === null ? "what it moves by itself is not known" : `by itself it moves ${flow(rate.lpm)}`;
  return `${who}: ${counts}; ${moves}`;
}
