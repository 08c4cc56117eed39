// What the alarms are told, made by hand for tests.

import type { AlarmInput, Care } from "../../../analysis/alarms/alarm.ts";
import type { Situation } from "../../../analysis/analyzer.ts";
import type { Finding, FindingKind } from "../../../analysis/findings/finding.ts";
import { smallSite } from "../small-basin.ts";

export const calm: Situation = {
  time_s: 0,
  level_m: 0.1,
  pumpRunning: false,
  pumpSince_s: null,
  floatOn: null,
  highFloat: null,
  mainsOn: null,
  inflow: null,
  pumpRate: null,
  levelRate_ms: null,
  startsInLastHour: 0,
  openFindings: [],
};

export const allWell: Care = {
  silentSince_s: null,
  interrupted: null,
  serviceDue_s: null,
  boardBattery: null,
  lastRun_s: null,
  unusualPause_s: null,
  muchWhileDry: null,
};

export function finding(kind: FindingKind, from_s: number): Finding {
  return { kind, severity: "critical", from_s, to_s: null, evidence: {}, message: "" };
}

export function input(
  time_s: number,
  openFindings: readonly Finding[] = [],
  situation: Partial<Situation> = {},
  care: Partial<Care> = {},
): AlarmInput {
  return {
    time_s,
    site: smallSite,
    situation: { ...calm, time_s, openFindings, ...situation },
    toFloor: null,
    care: { ...allWell, ...care },
  };
}
