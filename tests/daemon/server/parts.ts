// A daemon's parts as the server's tests see them: one cycle, one finding, an hour of levels, in memory.

import type { Situation } from "../../../analysis/analyzer.ts";
import type { Cycle } from "../../../analysis/cycles/cycle.ts";
import type { Finding } from "../../../analysis/findings/finding.ts";
import { silentReading } from "../../../analysis/readings/reading.ts";
import type { ReportSummary } from "../../../analysis/report/report.ts";
import type { Site } from "../../../analysis/site.ts";
import type { LiveState } from "../../../daemon/server/api-types.ts";
import { createLiveFeed } from "../../../daemon/server/live-feed.ts";
import type { ServerParts } from "../../../daemon/server/server-parts.ts";
import { recordReader } from "../../../daemon/stores/record-reader.ts";
import { openSqliteStore } from "../../../daemon/stores/sqlite-store.ts";

export const site: Site = {
  name: "Test house",
  timezone: "UTC",
  displayUnits: "metric",
  basin: {
    geometry: { shape: "round", diameter_m: 0.4, occupiedArea_m2: 0 },
    depth_m: 0.8,
    startLevel_m: 0.35,
    stopLevel_m: 0.15,
    highLevel_m: 0.5,
    overflowLevel_m: 0.8,
  },
  pump: null,
  discharge: null,
  design: { inflowFactor: 1.5 },
};

export const cycle: Cycle = {
  startedAt_s: 1000,
  stoppedAt_s: 1020,
  run_s: 20,
  rest_s: null,
  startLevel_m: 0.35,
  stopLevel_m: 0.15,
  inflow: { flow_m3s: 1e-4, uFlow_m3s: 1e-6, degreesOfFreedom: Number.POSITIVE_INFINITY, method: "active-volume" },
  pumpRate: null,
  drainBack_m3: null,
};

export const finding: Finding = {
  kind: "power-lost",
  severity: "critical",
  from_s: 1500,
  to_s: null,
  evidence: { mains: false },
  message: "See to the supply.",
};

export const situation: Situation = {
  time_s: 3600,
  level_m: 0.2,
  pumpRunning: false,
  pumpSince_s: 1020,
  floatOn: null,
  highFloat: null,
  mainsOn: false,
  inflow: cycle.inflow,
  pumpRate: null,
  levelRate_ms: null,
  startsInLastHour: 1,
  openFindings: [finding],
};

const summary: ReportSummary = {
  schema: "undercroft-report/1",
  span: { start: "1970-01-01T00:00:00.000Z", end: "1970-01-01T01:00:00.000Z", rows: 61, gaps: [] },
  inflow: { mean_lpm: null, mean_u95_lpm: null, peak: { "60": null, "600": null, "3600": null } },
  totals: { starts: 1, run_s: 20, pumped_l: null, pumped_u95_l: null, most_starts_in_an_hour: 1 },
  findings: [],
  sizing: {
    verdict: "not-enough-data",
    required_lpm: null,
    static_head_m: null,
    friction_head_m: null,
    total_dynamic_head_m: null,
    duty_point: null,
    margin: null,
  },
};

/** A reading a minute from 0 to 3600 s, rising from 0.10 m by 1 mm a minute. */
export function testParts(changes: Partial<ServerParts> = {}): ServerParts {
  const store = openSqliteStore(":memory:");
  for (let minute = 0; minute <= 60; minute++) {
    store.append({ ...silentReading, time_s: 60 * minute, level_m: 0.1 + 0.001 * minute });
  }
  store.saveCycle(cycle);
  store.saveFinding(finding);
  store.saveInflow({ from_s: 0, to_s: 1000, inflow_m3s: 1e-4, uInflow_m3s: 1e-6 });
  const state = (): LiveState => ({
    situation,
    sources: [],
    store: store.health(),
    now_s: 3600,
    speed: null,
    maxSpeed: null,
    span: store.span(),
    wallStep_s: 0,
    publisher: null,
  });
  return {
    siteInfo: { site, invented: false, playing: null, version: "1.2.3" },
    record: recordReader(store),
    feed: createLiveFeed(state),
    state,
    summary: () => summary,
    speed: () => null,
    host: "127.0.0.1",
    pageFolder: "/nowhere/at/all",
    ...changes,
  };
}
