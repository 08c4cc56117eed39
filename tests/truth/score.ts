// Holds what the analysis says of a played plan against what really happened. Gives plain figures, to be pooled over
// seeds by pool.ts.

import { createAnalyzer } from "../../analysis/analyzer.ts";
import type { Cycle } from "../../analysis/cycles/cycle.ts";
import type { FindingKind } from "../../analysis/findings/finding.ts";
import type { Reading } from "../../analysis/readings/reading.ts";
import type { ReportSummary } from "../../analysis/report/report.ts";
import { reportFlow } from "../../analysis/report/summarize.ts";
import { type Agreement, agreement, noneYet } from "./agreement.ts";
import { readBack } from "./as-recording.ts";
import { fillBound_m3s } from "./fill-bound.ts";
import { type Alarm, type Judged, judgeFindings } from "./judge-findings.ts";
import { matchCycles } from "./match-cycles.ts";
import type { Plan } from "./plan.ts";
import { epoch_s, play, type Truth } from "./play.ts";
import { randomOf } from "./random.ts";
import type { Scenario } from "./scenario.ts";
import { rateOf, type TrueCycle } from "./witness.ts";

export interface Score {
  readonly scenario: string;
  readonly seed: number;
  readonly rows: number;
  readonly span_s: number;
  readonly trueCycles: number;
  readonly foundCycles: number;
  readonly matched: number;
  /** Found − true, of every matched start and stop. */
  readonly startErrors_s: readonly number[];
  readonly stopErrors_s: readonly number[];
  readonly inflow: Agreement;
  /** Error of each fill over its Cramér–Rao bound, where the noise is white. */
  readonly overBound: readonly number[];
  readonly pumpRate: Agreement;
  /** Litres: found − true, and true. */
  readonly returnErrors_l: readonly number[];
  readonly returned_l: number;
  /** (found − true) / true; null where the analysis does not know, or says 'at least' and is right. */
  readonly mean: number | null;
  readonly pumped: number | null;
  readonly peaks: Readonly<Record<"60" | "600" | "3600", number | null>>;
  /** Of two pumps; null of one. */
  readonly pumps: TwoScored | null;
  readonly findings: Judged;
  readonly problems: readonly string[];
}

/** Of the first, the second and both at once: (found − true) / true of what they move, null where nothing is said. */
export interface TwoScored {
  readonly trueStarts: readonly [number, number];
  readonly starts: readonly [number | null, number | null];
  readonly rates: readonly (number | null)[];
}

/** The analysis threw: a result too. */
export interface Thrown {
  readonly scenario: string;
  readonly seed: number;
  readonly threw: string;
}

export async function scoreOf(scenario: Scenario, seed: number): Promise<Score> {
  const plan = scenario.draw(randomOf(scenario.name, seed));
  const played = play(plan, scenario.name, seed);
  const heard = await hear(plan, played.readings);
  const truth = played.truth();
  const wall = wallClock(plan);
  const slack_s = Math.max(4, 1.5 * plan.sample_s + plan.senses.bounce_s);
  const cycles = [...heard.cycles.values()].map((cycle) => shifted(cycle));
  const { pairs, counted, judged } = matchCycles(truth, cycles, wall, slack_s);
  const { summary } = heard;
  const seenInflow_m3 = truth.totals.inflow_m3 - truth.unseen.inflow_m3;
  const seenPumped_m3 = truth.totals.pumped_m3 + truth.totals.standby_m3 - truth.unseen.pumped_m3;
  const inflow = noneYet();
  const pumpRate = noneYet();
  const overBound: number[] = [];
  for (const { is, said } of pairs) {
    const flow = said.inflow === null ? null : reportFlow(said.inflow);
    agreement(inflow, is.restInflow_m3s, flow);
    agreement(pumpRate, rateSaid(is, said), said.pumpRate === null ? null : reportFlow(said.pumpRate));
    if (scenario.judge.bound && is.rest_s !== null && is.restInflow_m3s !== null && said.inflow !== null) {
      overBound.push((said.inflow.flow_m3s - is.restInflow_m3s) / fillBound_m3s(plan, is.rest_s));
    }
  }
  const returns = pairs.flatMap(({ is, said }) =>
    said.drainBack_m3 === null || is.returned_m3 === null ? [] : [(said.drainBack_m3 - is.returned_m3) * 1000],
  );
  const returned = pairs.flatMap(({ is }) => (is.returned_m3 === null ? [] : [is.returned_m3 * 1000]));
  const against = (found: number | null | undefined, true_m3s: number, isLeast: boolean | undefined) => {
    if (found == null || true_m3s === 0) return null;
    const error = found / 60_000 / true_m3s - 1;
    return isLeast && error < 0 ? null : error;
  };
  const peak = (window: "60" | "600" | "3600") => {
    const found = summary.inflow.peak[window];
    return against(found?.lpm, truth.peak_m3s[window], found?.at_least);
  };
  return {
    scenario: scenario.name,
    seed,
    rows: heard.rows,
    span_s: truth.duration_s,
    trueCycles: counted,
    foundCycles: judged,
    matched: pairs.length,
    startErrors_s: pairs.map(({ is, said }) => said.startedAt_s - wall(is.startedAt_s)),
    stopErrors_s: pairs.map(({ is, said }) => said.stoppedAt_s - wall(is.stoppedAt_s)),
    inflow,
    overBound,
    pumpRate,
    returnErrors_l: returns,
    returned_l: returned.reduce((sum, value) => sum + value, 0) / Math.max(1, returned.length),
    mean: against(
      summary.inflow.mean_lpm,
      seenInflow_m3 / (truth.duration_s - truth.unseen.duration_s),
      summary.inflow.mean_at_least,
    ),
    pumped:
      summary.totals.pumped_l === null || seenPumped_m3 === 0
        ? null
        : summary.totals.pumped_l / 1000 / seenPumped_m3 - 1,
    peaks: {
      60: peak("60"),
      600: peak("600"),
      3600: peak("3600"),
    },
    pumps: twoScored(plan, truth, summary),
    findings: judgeFindings(plan, truth, heard.alarms, wall, scenario.causes),
    problems: [...heard.problems, ...unshown(scenario, truth)],
  };
}

interface Heard {
  readonly cycles: Map<number, Cycle>;
  readonly alarms: readonly Alarm[];
  readonly summary: ReportSummary;
  readonly rows: number;
  readonly problems: readonly string[];
}

/** Puts the readings through the analysis, at once or through a file and the project's own reader. */
async function hear(plan: Plan, readings: Iterable<Reading>): Promise<Heard> {
  let cycles = new Map<number, Cycle>();
  let alarms: Alarm[] = [];
  let rows = 0;
  let now_s = 0;
  const start = () => {
    cycles = new Map();
    alarms = [];
    rows = 0;
    return createAnalyzer(plan.site, {
      sink: {
        cycle: (cycle) => cycles.set(cycle.startedAt_s, cycle),
        finding(finding, change) {
          if (change === "began") {
            alarms.push({
              kind: finding.kind,
              toldAt_s: now_s,
              from_s: finding.from_s - epoch_s,
              to_s: null,
              evidence: finding.evidence,
            });
          }
          const last = alarms.findLast(({ kind }) => kind === finding.kind);
          if (change === "ended" && last) last.to_s = (finding.to_s ?? 0) - epoch_s;
          if (last) last.evidence = finding.evidence;
        },
      },
    });
  };
  let analyzer = start();
  const push = (reading: Reading) => {
    rows += 1;
    now_s = reading.time_s - epoch_s;
    analyzer.push(reading);
  };
  let problems: readonly string[] = [];
  if (plan.rows.through === "memory") for (const reading of readings) push(reading);
  else {
    problems = await readBack(plan, readings, push, () => {
      analyzer = start();
    });
  }
  analyzer.finish();
  return { cycles, alarms, summary: analyzer.summary(), rows, problems };
}

function twoScored(
  { second }: Plan,
  { totals: { starts, fullSpeed } }: Truth,
  summary: ReportSummary,
): TwoScored | null {
  if (second === null || summary.pumps === undefined) return null;
  const [one, other] = summary.pumps;
  const said_lpm = [one.rate?.lpm, other.rate?.lpm, summary.sizing.both_capacity_lpm];
  const rates = said_lpm.map((lpm, i) => {
    const { volume_m3, time_s } = fullSpeed[i + 1] ?? { volume_m3: 0, time_s: 0 };
    return lpm == null || time_s === 0 ? null : lpm / 60_000 / (volume_m3 / time_s) - 1;
  });
  return { trueStarts: [...starts], starts: [one.starts, other.starts], rates };
}

/** What the run's rate is to be held against: of a run whose pumps changed, the longest part of those that it speaks of. */
function rateSaid(is: TrueCycle, { pumps }: Cycle): number | null {
  if (is.parts.length < 2) return rateOf(is);
  const set = pumps?.rateOf === "both" ? 3 : (pumps?.rateOf ?? 0);
  const [longest] = is.parts.filter((part) => part.set === set).sort((a, b) => b.run_s - a.run_s);
  return longest?.rate_m3s ?? null;
}

function shifted(cycle: Cycle): Cycle {
  return { ...cycle, startedAt_s: cycle.startedAt_s - epoch_s, stoppedAt_s: cycle.stoppedAt_s - epoch_s };
}

/** What the recording calls a moment. A clock that was set back goes on from where time had come to. */
function wallClock({ rows: { clock } }: Plan): (time_s: number) => number {
  if (clock === null || clock.by_s < 0) return (time_s) => time_s;
  return (time_s) => (time_s >= clock.at_s ? time_s + clock.by_s : time_s);
}

/** A scenario that should show a finding, and did not come to it for this seed. */
function unshown({ must }: Scenario, { states }: Truth): string[] {
  const clear = new Set<FindingKind>(states.filter(({ certainty }) => certainty === "clear").map(({ kind }) => kind));
  return must.filter((kind) => !clear.has(kind)).map((kind) => `the simulated truth shows no ${kind}`);
}
