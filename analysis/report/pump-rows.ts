// Each of two pumps as the report gives it, in the contract's units.

import type { FlowEstimate } from "../cycles/cycle.ts";
import type { Site } from "../site.ts";
import { type PumpTally, pumpRanFor_s } from "./pump-tally.ts";
import type { ReportFlow, ReportPump } from "./report.ts";
import { ranFor_s, type TallyState } from "./tally.ts";

/**
 * @param inReport a flow, with what is stated of basin and sensor in its uncertainty
 * @returns undefined where there is one pump; of a second that no channel tells of, all that is counted is null
 */
export function pumpRows(
  { pumps: sites }: Site,
  tally: TallyState,
  inReport: (flow: FlowEstimate | null) => ReportFlow | null,
): readonly [ReportPump, ReportPump] | undefined {
  const { pumps, pumpRate, secondRate } = tally;
  const name = (index: 0 | 1) => sites?.[index].name ?? null;
  if (pumps !== null) {
    const row = (pump: PumpTally) => ({
      starts: pump.starts,
      run_s: milliseconds(pumpRanFor_s(pump, tally.end_s ?? 0)),
      most_starts_in_an_hour: pump.mostStartsInAnHour,
    });
    return [
      { name: name(0), ...row(pumps[0]), rate: inReport(pumpRate) },
      { name: name(1), ...row(pumps[1]), rate: inReport(secondRate) },
    ];
  }
  if (sites === undefined) return undefined;
  const { starts, mostStartsInAnHour } = tally;
  const first = { starts, run_s: milliseconds(ranFor_s(tally)), most_starts_in_an_hour: mostStartsInAnHour };
  return [
    { name: name(0), ...first, rate: inReport(pumpRate) },
    { name: name(1), starts: null, run_s: null, most_starts_in_an_hour: null, rate: null },
  ];
}

function milliseconds(duration_s: number): number {
  return Math.round(duration_s * 1000) / 1000;
}
