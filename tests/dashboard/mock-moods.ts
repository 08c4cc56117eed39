// The present of the invented basin, well or in trouble.

import type { Cycle } from "../../analysis/cycles/cycle.ts";
import type { Finding } from "../../analysis/findings/finding.ts";
import type { LiveState, SiteInfo } from "../../daemon/server/api-types.ts";
import type { Span } from "../../daemon/stores/store.ts";
import { day_s, pump_m3s, start_m, stop_m } from "./mock-month.ts";

export const siteInfo: SiteInfo = {
  site: {
    name: "Invented house",
    timezone: "America/Toronto",
    displayUnits: "us",
    basin: {
      geometry: { shape: "round", diameter_m: 0.457, occupiedArea_m2: 0.005 },
      depth_m: 0.762,
      startLevel_m: start_m,
      stopLevel_m: stop_m,
      highLevel_m: 0.51,
      overflowLevel_m: 0.762,
    },
    pump: { curve: null, maxStartsPerHour: 20, minRun_s: 8 },
    discharge: null,
    design: { inflowFactor: 1.5 },
  },
  invented: true,
  playing: "simulated",
  version: "0.1.0",
};

/** How the moment differs from a healthy one. */
export type Mood = "calm" | "flood" | "faults";

export function stateAt(now_s: number, record: Span, cycles: readonly Cycle[], mood: Mood, speed: number): LiveState {
  const last = cycles.at(-1);
  const flood = mood === "flood";
  const phase = (now_s * 0.02) % 1;
  return {
    situation: {
      time_s: now_s - 0.4,
      level_m: flood ? 0.575 : stop_m + (start_m - stop_m) * phase,
      pumpRunning: flood,
      pumpSince_s: flood ? now_s - 1260 : (last?.stoppedAt_s ?? null),
      floatOn: flood,
      highFloat: flood,
      mainsOn: true,
      inflow: { flow_m3s: flood ? 1.71e-3 : 6.1e-5, uFlow_m3s: flood ? 4e-5 : 7e-7, degreesOfFreedom: 60 },
      pumpRate: { flow_m3s: pump_m3s, uFlow_m3s: 1.8e-5, degreesOfFreedom: 14 },
      levelRate_ms: flood ? 7e-5 : 3.8e-4 / 60,
      startsInLastHour: flood ? 1 : 6,
      openFindings: findingsOf(mood, now_s),
    },
    sources: [
      {
        name: "level sensor",
        kind: "simulated",
        state: "running",
        since_s: record.from_s,
        lastReading_s: now_s,
        accepted: 2_592_000,
        rejected: 3,
        lastRejection: "level_m: expected at most 10 m, found 65.535 m",
        error: null,
        retryAt_s: null,
      },
      {
        name: "pump relay",
        kind: "gpio",
        state: mood === "faults" ? "waiting-to-retry" : "running",
        since_s: record.from_s,
        lastReading_s: now_s,
        accepted: 6200,
        rejected: 0,
        lastRejection: null,
        error: mood === "faults" ? "GPIO line 17 is held by another process; free it or change the line" : null,
        retryAt_s: mood === "faults" ? now_s + 20 : null,
      },
    ],
    store: {
      state: mood === "faults" ? "holding" : "writing",
      held: mood === "faults" ? 212 : 0,
      lost: 0,
      error: mood === "faults" ? "the disk is full" : null,
      since_s: mood === "faults" ? now_s - 212 : null,
    },
    now_s,
    speed,
    maxSpeed: 10_000,
    span: record,
    wallStep_s: mood === "faults" ? 11_520 : 0,
  };
}

export function findingsOf(mood: Mood, now_s: number): Finding[] {
  if (mood === "faults") {
    return [
      {
        kind: "sensor-fault",
        severity: "warning",
        from_s: now_s - 5400,
        to_s: null,
        evidence: { channel: "level_m", cause: "frozen", level_m: 0.212, frozenFor_s: 5400 },
        message:
          "The level does not change although the pump runs. Look whether the sensor is stuck or its cable is loose.",
      },
    ];
  }
  if (mood === "calm") return [];
  return [
    {
      kind: "high-water",
      severity: "critical",
      from_s: now_s - 1100,
      to_s: null,
      evidence: { level_m: 0.575, highLevel_m: 0.51, levelRate_ms: 7e-5 },
      message:
        "Keep out of water that may touch an outlet or the panel. If you can reach it dry, start a second pump and lift what must stay dry off the floor.",
    },
    {
      kind: "inflow-exceeds-pump",
      severity: "critical",
      from_s: now_s - 1240,
      to_s: null,
      evidence: { inflow_m3s: 1.71e-3, uInflow_m3s: 4e-5, pumpRate_m3s: pump_m3s },
      message: "More water comes in than the pump moves. A second pump is needed until the inflow falls.",
    },
  ];
}

export function past(record: Span): Finding[] {
  const at_s = record.to_s - 3 * day_s;
  return [
    {
      kind: "short-cycling",
      severity: "warning",
      from_s: at_s,
      to_s: at_s + 7200,
      evidence: { cause: "small-active-volume", startsPerHour: 26, maxStartsPerHour: 20, activeVolume_m3: 0.0334 },
      message: "Raise the start level or lower the stop level, so that each run moves more water.",
    },
    {
      kind: "power-lost",
      severity: "critical",
      from_s: at_s - 9 * day_s,
      to_s: at_s - 9 * day_s + 840,
      evidence: { duration_s: 840 },
      message: "The supply was gone. If it happens in rain, have a pump that runs without it.",
    },
  ];
}
