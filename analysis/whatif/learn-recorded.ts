// Listens to the analysis of a recording and keeps what a replay needs of it: the inflow, the floats, what the pumps moved
// and what really happened, to hold the replay against.

import type { AnalyzerSink, InflowStretch } from "../analyzer.ts";
import type { Cycle, FlowEstimate } from "../cycles/cycle.ts";
import { basinGeometry } from "../geometry/basin.ts";
import type { ReportSummary } from "../report/report.ts";
import type { Site } from "../site.ts";
import { toSi } from "../units/unit.ts";
import type { MeasuredFlows } from "./flow-by-level.ts";
import type { KnownInstallation } from "./plan.ts";
import type { PowerCut } from "./power-cuts.ts";
import type { Anchor } from "./replay.ts";
import { scatterOf, usual, whenStill } from "./when-still.ts";

export interface RecordedCourse {
  readonly inflow: readonly InflowStretch[];
  readonly startTimes_s: readonly number[];
  readonly powerCuts: readonly PowerCut[];
}

export interface RecordedListener {
  readonly sink: AnalyzerSink;
  /** Once the analysis has been finished. */
  course(): RecordedCourse;
  /** @param pooled what the pump moves as many runs show it together, where single ones are too coarsely seen */
  known(summary: ReportSummary, pooled?: FlowEstimate | null): KnownInstallation;
}

/** A pump takes so long to come up to speed, at the most, while the water goes on rising. */
const lateAnyway_s = 2;
/** A start is soon over; what looks longer is something else. */
const longestSpinUp_s = 3;
/** With so small a share of what the pump moves coming in meanwhile, its uncertainty does not matter to a start. */
const calm = 0.15;
const u95 = 1.96;

export function listenToRecording(site: Site): RecordedListener {
  const geometry = basinGeometry(site.basin.geometry);
  const inflow: InflowStretch[] = [];
  const startTimes_s: number[] = [];
  const cuts = new Map<number, PowerCut>();
  const starts_m: number[] = [];
  const rises_ms: number[] = [];
  const stops_m: number[] = [];
  const returned_m3: number[] = [];
  const turns: Anchor[] = [];
  const excess_m3: number[] = [];
  const excessInflow_m3s: number[] = [];
  let lastStop_m: number | null = null;
  const spinUps_s: number[] = [];
  const powers_w: number[] = [];
  const rates: Record<"1" | "2" | "both", { flow_m3s: number[]; level_m: number[] }> = {
    "1": { flow_m3s: [], level_m: [] },
    "2": { flow_m3s: [], level_m: [] },
    both: { flow_m3s: [], level_m: [] },
  };

  function noteCycle(cycle: Cycle): void {
    const { startLevel_m, stopLevel_m, pumpRate, runningPower, drainBack_m3 } = cycle;
    if (startLevel_m !== null) {
      starts_m.push(startLevel_m);
      turns.push({ time_s: cycle.startedAt_s, level_m: startLevel_m, calls: true });
      rises_ms.push((cycle.inflow?.flow_m3s ?? 0) / geometry.area_m2(startLevel_m));
    }
    if (stopLevel_m !== null) {
      stops_m.push(stopLevel_m);
      turns.push({ time_s: cycle.stoppedAt_s, level_m: stopLevel_m, calls: false });
    }
    if (drainBack_m3 !== null) returned_m3.push(drainBack_m3);
    if (runningPower != null) powers_w.push(runningPower.mean);
    noteExcess(cycle);
    const spinUp_s = spinUpOf(cycle);
    if (spinUp_s !== null) spinUps_s.push(spinUp_s);
    if (pumpRate === null) return;
    const set = rates[`${cycle.pumps?.rateOf ?? 1}`];
    set.flow_m3s.push(pumpRate.flow_m3s);
    if (startLevel_m !== null && stopLevel_m !== null) set.level_m.push((startLevel_m + stopLevel_m) / 2);
  }

  /** By how much the basin filled beyond what came in: that ran back. Straight after the stop it is seen in no slope. */
  function noteExcess({ startLevel_m, stopLevel_m, inflow: rest, rest_s }: Cycle): void {
    if (startLevel_m !== null && rest_s !== null && rest !== null && lastStop_m !== null) {
      const filled_m3 = geometry.volume_m3(startLevel_m) - geometry.volume_m3(lastStop_m);
      excess_m3.push(filled_m3 - rest.flow_m3s * rest_s);
      excessInflow_m3s.push(rest.flow_m3s);
    }
    lastStop_m = stopLevel_m;
  }

  /** By how much less was moved than by a pump that is up to speed at once, as a time. */
  function spinUpOf({ startLevel_m, stopLevel_m, pumpRate, inflow: rest, run_s, pumps }: Cycle): number | null {
    if (startLevel_m === null || stopLevel_m === null || pumpRate === null || rest === null || pumps != null)
      return null;
    if (!(rest.flow_m3s < calm * pumpRate.flow_m3s)) return null;
    const moved_m3 = geometry.volume_m3(startLevel_m) - geometry.volume_m3(stopLevel_m) + rest.flow_m3s * run_s;
    return run_s - moved_m3 / pumpRate.flow_m3s;
  }

  function ratesOf(set: keyof typeof rates): MeasuredFlows {
    const { flow_m3s, level_m } = rates[set];
    const middle = usual(flow_m3s);
    if (middle === null) return [];
    const scatter_m3s = scatterOf(flow_m3s.map((flow) => flow - middle));
    return [
      {
        level_m: usual(level_m) ?? middleLevel_m(),
        flow_m3s: middle,
        uFlow_m3s: scatter_m3s / Math.sqrt(flow_m3s.length),
      },
    ];
  }

  function middleLevel_m(): number {
    const [start_m, stop_m] = [usual(starts_m) ?? site.basin.startLevel_m, usual(stops_m) ?? site.basin.stopLevel_m];
    return ((start_m ?? 0) + (stop_m ?? 0)) / 2;
  }

  /** A standby that never ran by itself moves alone no less than it adds to the pump on duty. */
  function secondAlone(): MeasuredFlows {
    const [own, [first], [both]] = [ratesOf("2"), ratesOf("1"), ratesOf("both")];
    if (own.length > 0 || first === undefined || both === undefined) return own;
    const flow_m3s = Math.max(0, both.flow_m3s - first.flow_m3s);
    return [{ level_m: both.level_m, flow_m3s, uFlow_m3s: Math.hypot(both.uFlow_m3s, first.uFlow_m3s) }];
  }

  return {
    sink: {
      inflow: (stretch) => {
        inflow.push(stretch);
      },
      cycle: (cycle, stage) => {
        if (stage === "stopped") startTimes_s.push(cycle.startedAt_s);
        else noteCycle(cycle);
      },
      // There was no level: what goes by it is empty.
      takenBack: () => {
        for (const list of [inflow, startTimes_s, powers_w]) list.length = 0;
        for (const { flow_m3s, level_m } of Object.values(rates)) flow_m3s.length = level_m.length = 0;
      },
      finding: ({ kind, from_s, to_s }) => {
        if (kind === "power-lost") cuts.set(from_s, { from_s, to_s: to_s ?? Number.MAX_SAFE_INTEGER });
      },
    },
    course: () => ({ inflow, startTimes_s: startTimes_s.sort((a, b) => a - b), powerCuts: [...cuts.values()] }),
    known(summary, pooled = null) {
      const line = (summary.pump?.curve ?? []).map(({ level_mm, lpm, u95_lpm }) => ({
        level_m: toSi(level_mm, "mm"),
        flow_m3s: toSi(lpm, "L/min"),
        uFlow_m3s: toSi(u95_lpm, "L/min") / u95,
      }));
      const interval = interval_s(summary);
      const late_s = interval + lateAnyway_s;
      const ownFlows = (seen: MeasuredFlows): MeasuredFlows => {
        if (seen.length > 0) return seen;
        const own = ratesOf("1");
        return own.length > 0 || pooled === null ? own : [{ ...pooled, level_m: middleLevel_m() }];
      };
      const start = whenStill(starts_m, rises_ms, late_s);
      const excess = whenStill(excess_m3, excessInflow_m3s, late_s);
      const seenStop_m = usual(stops_m);
      const { back_m3, shift_m3 } = partedExcess(excess?.value ?? null, usual(returned_m3), interval);
      const stop_m = seenStop_m === null ? null : geometry.level_m(geometry.volume_m3(seenStop_m) + shift_m3);
      const spinUp_s = usual(spinUps_s);
      return {
        site,
        flows: site.pumps === undefined ? [ownFlows(line)] : [ratesOf("1"), secondAlone()],
        together: ratesOf("both"),
        floats:
          start === null || stop_m === null || !(start.value > stop_m)
            ? null
            : { start_m: start.value, stop_m, scatter_m: start.scatter },
        turns: turns.sort((a, b) => a.time_s - b.time_s),
        takesTurns: inTurns(rates["1"].flow_m3s.length, rates["2"].flow_m3s.length),
        returned_m3: back_m3,
        spinUp_s: spinUp_s === null ? null : Math.max(0, Math.min(longestSpinUp_s, spinUp_s)),
        power_w: usual(powers_w),
      };
    },
  };
}

/**
 * What the basin fills beyond what comes in ran back after the stop; but where readings are far apart, a stop is seen late
 * and its level too low, and the water did not go so far down. Less than came in: the run went on below where it was seen
 * to end.
 */
function partedExcess(excess_m3: number | null, drainBack_m3: number | null, interval: number) {
  if (excess_m3 === null) return { back_m3: drainBack_m3, shift_m3: 0 };
  const back_m3 = interval > often_s ? Math.min(excess_m3, drainBack_m3 ?? 0) : excess_m3;
  return { back_m3: Math.max(0, back_m3), shift_m3: excess_m3 - Math.max(0, back_m3) };
}

/** Each by itself in a good part of the runs. A standby runs alone now and then, if ever. */
function inTurns(first: number, second: number): boolean {
  return Math.min(first, second) >= fewestTurns && Math.min(first, second) > 0.25 * (first + second);
}

const fewestTurns = 3;
/** Readings that come so often show a stop where it is. */
const often_s = 1.5;

function interval_s({ span: { start, end, rows, gaps } }: ReportSummary): number {
  if (start === null || end === null || rows < 2) return 0;
  const missing_ms = gaps.reduce((sum, gap) => sum + Date.parse(gap.to) - Date.parse(gap.from), 0);
  return (Date.parse(end) - Date.parse(start) - missing_ms) / milli / rows;
}

const milli = 1000;
