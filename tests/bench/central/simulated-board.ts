// One simulated board: a reading every few seconds, a pump cycle every hundred, an alarm now and then. It publishes and
// forwards by the program's own publisher and forwarder; what it measures and keeps is as cheap as can be.

import type { Situation } from "../../../analysis/analyzer.ts";
import type { Finding } from "../../../analysis/findings/finding.ts";
import { silentReading } from "../../../analysis/readings/reading.ts";
import type { MqttPublisher } from "../../../daemon/publishers/mqtt-publisher.ts";
import { cycle_ms, levelAt_m, phase_ms } from "./level-course.ts";
import type { MemoryRecord } from "./memory-record.ts";
import type { TrueMessages } from "./true-messages.ts";

export interface Tally {
  readings: number;
  cycles: number;
  alarms: number;
  /** As it was published last. */
  level_m: number;
}

const run_ms = 8000;
const alarmLasts_ms = 15_000;
/** Every so many cycles, of each board another one. */
const alarmEvery = 5;
const healthEvery_ms = 60_000;

export interface SimulatedBoard {
  readonly tally: Tally;
  /** What it does at a reading. */
  step(now_ms: number): void;
}

export function simulatedBoard(
  board: number,
  { record, publisher, truth }: { record: MemoryRecord; publisher: MqttPublisher; truth: TrueMessages },
): SimulatedBoard {
  const tally: Tally = { readings: 0, cycles: 0, alarms: 0, level_m: Number.NaN };
  let before_ms: number | null = null;
  let alarm: Finding | null = null;
  let cycleNumber = board;
  let health_ms = Number.NEGATIVE_INFINITY;
  let noise = board + 1;
  publisher.about("site", truth.site);
  publisher.about("summary", truth.summary);

  function step(now_ms: number): void {
    const phase = phase_ms(board, now_ms);
    const pumpOn = phase < run_ms;
    tally.level_m = levelAt_m(board, now_ms);
    noise = (noise * 48_271) % 2_147_483_647;
    const read_m = Math.round((tally.level_m + (noise / 2_147_483_647 - 0.5) * 0.004) * 1e4) / 1e4;
    record.append({ ...silentReading, time_s: now_ms / 1000, level_m: read_m, pumpOn, highFloat: alarm !== null });
    tally.readings++;
    if (before_ms !== null && phase < phase_ms(board, before_ms)) endCycle(now_ms - phase);
    if (alarm !== null && now_ms - alarm.from_s * 1000 > alarmLasts_ms) tell({ ...alarm, to_s: now_ms / 1000 });
    before_ms = now_ms;
    const situation: Situation = {
      ...truth.situation,
      time_s: now_ms / 1000,
      level_m: tally.level_m,
      pumpRunning: pumpOn,
      pumpSince_s: (now_ms - phase) / 1000,
      openFindings: alarm === null ? [] : [alarm],
    };
    publisher.state(situation);
    if (now_ms - health_ms < healthEvery_ms) return;
    health_ms = now_ms;
    const from_s = record.span()?.from_s ?? now_ms / 1000;
    publisher.about("health", { ...truth.health, span: { from_s, to_s: now_ms / 1000 } });
  }

  function endCycle(start_ms: number): void {
    const [from_s, to_s] = [(start_ms - cycle_ms) / 1000, start_ms / 1000];
    const cycle = { ...truth.cycle, startedAt_s: from_s, stoppedAt_s: from_s + run_ms / 1000, run_s: run_ms / 1000 };
    record.saveCycle(cycle);
    record.saveInflow({ from_s: cycle.stoppedAt_s, to_s, inflow_m3s: 7e-5, uInflow_m3s: 1e-6 });
    publisher.cycle(cycle);
    tally.cycles++;
    cycleNumber++;
    if (cycleNumber % alarmEvery !== 0 || alarm !== null) return;
    const begin_s = (performance.timeOrigin + performance.now()) / 1000;
    const evidence = { high_float: true, level_mm: Math.round(tally.level_m * 1000) };
    const message = "Water is high: look at the pump now, with the mains in mind.";
    tally.alarms++;
    tell({ kind: "high-water", severity: "critical", from_s: begin_s, to_s: null, evidence, message });
  }

  function tell(finding: Finding): void {
    alarm = finding.to_s === null ? finding : null;
    record.saveFinding(finding);
    publisher.finding(finding);
  }

  return { tally, step };
}
