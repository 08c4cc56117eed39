// What a rule sees of the small basin on a quiet day; a test says what is different.

import type { Cycle, FlowEstimate } from "../../../analysis/cycles/cycle.ts";
import type { Finding } from "../../../analysis/findings/finding.ts";
import { newKeptDown } from "../../../analysis/findings/kept-down.ts";
import type { View } from "../../../analysis/findings/rule.ts";
import { lowestStop_m } from "../../../analysis/findings/two-pumps.ts";
import { newChannelWatch } from "../../../analysis/readings/channel-watch.ts";
import { newTripLevels } from "../../../analysis/readings/trip-levels.ts";
import { inflow_m3s, pumpRate_m3s, rest_s, run_s, smallSite, startTime_s } from "../small-basin.ts";

export function flow(flow_m3s: number, uFlow_m3s = 0.01 * flow_m3s): FlowEstimate {
  return { flow_m3s, uFlow_m3s, degreesOfFreedom: 30 };
}

export const quietCycle: Cycle = {
  startedAt_s: startTime_s,
  stoppedAt_s: startTime_s + run_s,
  run_s,
  rest_s,
  startLevel_m: 0.3,
  stopLevel_m: 0.1,
  inflow: { ...flow(inflow_m3s), method: "fill-slope" },
  pumpRate: flow(pumpRate_m3s),
  drainBack_m3: 0.0002,
};

export function cyclesLike(change: Partial<Cycle>, count = 8): Cycle[] {
  return Array.from({ length: count }, () => ({ ...quietCycle, ...change }));
}

/** A finding that is open already; rules look at no more of it than since when. */
export function openSince(from_s = startTime_s): Finding {
  return { kind: "high-water", severity: "warning", from_s, to_s: null, evidence: {}, message: "" };
}

export function viewOf(change: Partial<View> = {}): View {
  return {
    site: smallSite,
    basinHolds_m3: 0.06,
    time_s: startTime_s,
    noNews: false,
    allWell: false,
    level_m: 0.2,
    leastLevel_m: change.level_m === undefined ? 0.2 : change.level_m,
    levelIsOld: false,
    levelOnlySaidAgain: false,
    leapSinceStart_m: 0,
    pumpRunning: false,
    pumpInferred: false,
    runsByLevel: false,
    closelyRead: true,
    readEvery_s: 1,
    fewReadingsInARun: false,
    pumpSignalDead: false,
    pumpSignal: "pumpOn",
    pumpStateFor_s: 60,
    riseWhileRunning_m: null,
    riseInLongRun_m: null,
    risenShare: null,
    dischargeNow_m3s: null,
    atStopFor_s: 0,
    cameToStopIn_s: 0,
    keptDown: newKeptDown(),
    stopLevel_m: 0.1,
    stopsAt_m: lowestStop_m(change.site ?? smallSite),
    littleInflow: true,
    suddenChange: null,
    lastingChange: null,
    longerRuns: null,
    slowChange: null,
    startsLate: false,
    startTrip_m: 0.3,
    startedLow: false,
    roseBeforeStart: false,
    bestInRun_m3s: null,
    inflowAtRest_m3s: null,
    riseOverStart_m: null,
    riseOverFloats_m: null,
    overStart: null,
    temperature_c: null,
    highFloat: null,
    mainsOn: null,
    startsInLastHour: 16,
    startsByInflow: null,
    flickers: 0,
    bobs: 0,
    recentCycles: cyclesLike({}),
    pumpRate: flow(pumpRate_m3s),
    pumps: null,
    inflow: flow(inflow_m3s),
    peak600: { inflow_m3s, uInflow_m3s: 0.01 * inflow_m3s, at_s: startTime_s },
    leastPeak600_m3s: null,
    mostRunShare: null,
    soundRun: false,
    overRim: false,
    lastLevel_m: 0.2,
    levelProblem: null,
    levelTosses: false,
    trips: newTripLevels(),
    channels: newChannelWatch(),
    levelNoise_m: 0.0015,
    ...change,
  };
}
