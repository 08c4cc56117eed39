// What an answer takes for granted, said with it.

import type { Site } from "../site.ts";
import { figures, type Words, words } from "../units/words.ts";
import type { BackupSite } from "./battery/backup-site.ts";
import type { Demand } from "./demand.ts";
import type { PresentPump } from "./present-pump.ts";
import type { LoggedRecord, SizingRequest } from "./request.ts";
import type { StormDemand } from "./storm-demand.ts";

export function assumptionsOf(
  { site, hand, logged }: SizingRequest,
  demand: Demand,
  storm: StormDemand | null,
  present: PresentPump | null,
): string[] {
  const say = words(site.displayUnits);
  const { basin, measurement, discharge } = site;
  const lines = [
    demand.peakIsOpen
      ? "More may have come in than could be measured: water stood at the rim, came faster than readings could follow, or came while nothing was read, in a long run without a level, or while a pump that nothing tells of may have run. What goes by the measured peak is the least that it can be."
      : null,
    demand.peakIsLeast && !demand.peakIsOpen
      ? "No level was read: what lies between the floats is known of each rest, not when in it that came in. The measured peak is the least that it can be; what it can have been at most is reckoned with."
      : null,
    demand.required?.governs === "allowance"
      ? `An allowance of ${site.design.inflowFactor} over the measured peak stands for worse storms than were seen (common practice, no source).`
      : null,
    hand !== null
      ? "The hand test shows the inflow of that hour. Make it in the wettest weather that there is, or take it for no peak."
      : null,
    logged !== null && storm?.noDesign != null && site.design.storm != null
      ? `What the storm to hold would bring is not known: ${storm.noDesign}.`
      : null,
    hand?.rises.some(({ from_m }) => from_m === null) && basin.geometry.shape === "table"
      ? `The rise was watched from ${basin.stopLevel_m === null ? "the inside bottom" : "the stop level"} on: in this basin it matters where it began.`
      : null,
    discharge !== null && basin.stopLevel_m === null
      ? "The stop level is not given: the lift is taken from the inside bottom of the basin, the most that it can be."
      : null,
    discharge !== null
      ? `Water of ${say.temperature(discharge.waterTemperature_c ?? 10)}, pipes as new, valves fully open.`
      : null,
    present?.answer.worn != null
      ? "How far a pump wears and a pipe clogs differs: the two figures for it show what to expect in some years (common practice, no source)."
      : null,
    present?.speed != null
      ? `Worn, clogged, and other sizes of pipe: with the published curve brought through what was measured, at ${figures(100 * present.speed)} % of the pump's speed by the affinity laws.`
      : null,
    tripsLine(site, logged, say),
    measurement?.uGeometry == null
      ? "Nothing is stated of how well the basin's size is known (measurement: in the site file): it is left out of the ranges, not taken as exact."
      : null,
    ...batteryLines(site.backup ?? null),
    basin.overflowLevel_m !== null
      ? "Time to the floor: inflow held steady, the basin alone. Drain pipes and gravel hold more, and a rising level holds inflow back: both make it longer."
      : null,
    demand.measured?.inflow_per_level == null && logged !== null
      ? "How the inflow goes with the level in the basin is not known: it is taken as the same at every level."
      : null,
  ];
  return lines.filter((line) => line != null);
}

function batteryLines(backup: BackupSite | null): (string | null)[] {
  if (backup === null) return [];
  const { peukertExponent, depthOfDischarge, ratedHours, inverterEfficiency, inverterIdle_w, temperature_c } = backup;
  return [
    `Battery: ${figures(100 * depthOfDischarge)} % of its charge drawn, rated over ${figures(ratedHours)} h, Peukert's exponent ${figures(peukertExponent)}; what of it the site file does not give is as usual of flooded lead-acid (common practice, no source).`,
    inverterIdle_w === null && inverterEfficiency < 1
      ? "What the inverter draws while the pump rests is not given (backup.inverter_idle) and not counted: a battery must be larger by it."
      : null,
    temperature_c === null
      ? "The battery's temperature in winter is not given (backup.temperature): nothing is taken off for the cold."
      : null,
    "The battery is for the inflow that was logged or measured, not for a worse storm.",
  ];
}

/** So far apart, floats hang otherwise than the site file says; common practice, no source. */
const apart_m = 0.012;

function tripsLine({ basin }: Site, logged: LoggedRecord | null, say: Words): string | null {
  const trips = logged?.trips ?? null;
  const { startLevel_m, stopLevel_m } = basin;
  if (trips === null || startLevel_m === null || stopLevel_m === null) return null;
  const off_m = Math.max(Math.abs(trips.start_m - startLevel_m), Math.abs(trips.stop_m - stopLevel_m));
  if (off_m < apart_m) return null;
  return `As logged, the pump starts at ${say.level(trips.start_m)} and stops at ${say.level(trips.stop_m)}; the site file says ${say.level(startLevel_m)} and ${say.level(stopLevel_m)}, and the sums here go by it. Correct it if the floats hang so.`;
}
