// What must stand ready when the mains or the pump fail: a standby pump, and a battery for so many hours of the worst that
// was logged (battery.ts). A battery over the recorded storm minute by minute is the replay's, analysis/whatif.

import type { FlowEstimate } from "../../cycles/cycle.ts";
import type { Site } from "../../site.ts";
import { figures, words } from "../../units/words.ts";
import type { SizingBackup } from "../answer/backup.ts";
import { ratingFor } from "../ask-for.ts";
import type { Demand } from "../demand.ts";
import { lowestLevel_m } from "../head.ts";
import type { PresentPump } from "../present-pump.ts";
import type { LoggedRecord } from "../request.ts";
import { lpm } from "../to-answer.ts";
import { worstHours } from "../worst-hours.ts";
import { batteryFor, loadOf, runtimeOf } from "./battery.ts";
import { messageOf, stepsOf } from "./battery-words.ts";

/** The night that a storm takes the mains, where the site file does not say for how long; for a given battery only. */
const usualWindow_s = 24 * 3600;

/** @returns null where neither a peak nor a battery says anything */
export function backupAnswer(
  site: Site,
  demand: Demand,
  present: PresentPump | null,
  logged: LoggedRecord | null,
): SizingBackup | null {
  const backup = site.backup ?? null;
  const standby = standbyPump(site, demand);
  const load = backup && loadOf(backup, present);
  const worst = worstOf(backup?.hold_s ?? usualWindow_s, demand, logged);
  if (standby === null && load === null) return null;
  const say = words(site.displayUnits);
  const battery = load && worst && backup?.hold_s != null ? batteryFor(load, backup.hold_s, worst.inflow) : null;
  const runtime = load && runtimeOf(load, demand, worst?.inflow ?? null, logged);
  return {
    standby,
    battery,
    runtime,
    message: messageOf(backup, load, battery, runtime, worst?.at ?? "at the measured peak"),
    steps: load && battery && worst ? stepsOf(load, battery, worst, say) : [],
  };
}

/** The mains fail in storms: it must move what is required of the other; the measured peak alone is named beside. */
function standbyPump(site: Site, { requiredFlow, peak }: Demand): SizingBackup["standby"] {
  const flow = requiredFlow ?? peak;
  if (flow === null || !(flow.flow_m3s > 0)) return null;
  const { discharge } = site;
  if (discharge === null) {
    const least = words(site.displayUnits).flow(flow.flow_m3s);
    return { lpm: lpm(flow.flow_m3s), head_m: null, words: `at least ${least}, at the head of its own discharge` };
  }
  const rated = (flow_m3s: number) => ratingFor(discharge, flow_m3s, lowestLevel_m(site), site.displayUnits);
  const rating = rated(flow.flow_m3s);
  const less = peak === null || !(peak.flow_m3s > 0) ? rating : rated(peak.flow_m3s);
  const alone = less.words === rating.words ? "" : ` (${less.words} for the measured peak alone)`;
  return { lpm: lpm(rating.flow_m3s), head_m: rating.head_m, words: `${rating.words}${alone}` };
}

export interface Worst {
  readonly inflow: FlowEstimate;
  readonly how: string;
  /** Goes on after "12 h" and after "lasts 12 h". */
  readonly at: string;
}

function worstOf(window_s: number, { peak }: Demand, logged: LoggedRecord | null): Worst | null {
  const hours = logged === null ? null : worstHours(logged.inflow, window_s);
  if (hours !== null) {
    const { inflow_m3s, uInflow_m3s } = hours;
    const inflow = { flow_m3s: inflow_m3s, uFlow_m3s: uInflow_m3s, degreesOfFreedom: Number.POSITIVE_INFINITY };
    const worst = `the worst ${figures(window_s / 3600)} h logged`;
    return { inflow, how: `mean inflow of ${worst}`, at: `at the mean of ${worst}` };
  }
  const how = "the peak, held all the time, since no such stretch was logged";
  return peak && { inflow: peak, how, at: "at the measured peak, held all the time" };
}
