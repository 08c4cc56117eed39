// Features worth having for this basin, as advice: each with its reason and where that comes from. Never a brand.

import type { Site } from "../site.ts";
import { duration } from "../units/duration.ts";
import { toSi } from "../units/unit.ts";
import { twoFigures, type Words, words } from "../units/words.ts";
import { activeVolume } from "./active-volume.ts";
import type { SizingFreeboard } from "./answer/basin.ts";
import type { SizingPipe } from "./answer/lift.ts";
import { cycling } from "./cycling.ts";
import type { Demand } from "./demand.ts";
import { biggerBasin, checkValve, pipe, practice, solids } from "./features-of-pipe.ts";
import type { PresentPump } from "./present-pump.ts";
import type { SizingAdvice } from "./sizing-answer.ts";

/** A submersible pump and its float swing free in a basin so wide and so deep. */
const wideEnough_m = toSi(14, "in");

const deepEnough_m = toSi(22, "in");

/** Motor under water so long at a stretch warms itself. */
const longRun_s = 600;

const busy = 0.5;

/** Less time than a person needs to wake up, find the fault and bail. */
const littleTime_s = 3600;

export function featuresWorthHaving(
  site: Site,
  demand: Demand,
  present: PresentPump | null,
  freeboard: SizingFreeboard | null,
  pipes: readonly SizingPipe[],
): SizingAdvice[] {
  const say = words(site.displayUnits);
  return [
    ...pumpType(site, say),
    ...body(site, demand, present),
    highWaterFloat(site, say),
    ...secondPump(site, demand, present, freeboard),
    ...solids(),
    ...checkValve(site, say),
    ...pipe(pipes, say),
    ...biggerBasin(site, demand, say),
  ];
}

function pumpType({ basin }: Site, say: Words): SizingAdvice[] {
  const { geometry, depth_m } = basin;
  if (geometry.shape === "table") return [];
  const width_m = geometry.shape === "round" ? geometry.diameter_m : Math.min(geometry.width_m, geometry.length_m);
  const narrow = width_m < wideEnough_m;
  const shallow = depth_m !== null && depth_m < deepEnough_m;
  const measured = `The basin is ${say.level(width_m)} wide${depth_m === null ? "" : ` and ${say.level(depth_m)} deep`}`;
  if (narrow || shallow) {
    return [
      {
        about: "pump-type",
        advice: "A pedestal pump, its motor above the floor, or a wider basin for a submersible one.",
        reason: `${measured}: a submersible pump wants some ${say.headUnit === "ft" ? "14 in" : "350 mm"} of width, so that its float swings free, and some ${say.headUnit === "ft" ? "22 in" : "550 mm"} of depth, so that it stays covered.`,
        source: practice,
      },
    ];
  }
  const unknown = depth_m === null ? " Its depth is not given: a submersible pump wants to stay covered." : "";
  return [
    {
      about: "pump-type",
      advice: "A submersible pump under a cover.",
      reason: `${measured}: there is room for it and for a float that swings free. It is quieter than a motor above the floor, stays cool in the water, and lets the basin be covered.${unknown}`,
      source: practice,
    },
  ];
}

function body(site: Site, { peak, requiredFlow }: Demand, present: PresentPump | null): SizingAdvice[] {
  // As in the floats' cycles: the most that it moves in one.
  const moves_m3s = present?.mostMoved_m3s ?? null;
  const inflow_m3s = requiredFlow?.flow_m3s ?? peak?.flow_m3s ?? null;
  const active = activeVolume(site);
  if (moves_m3s === null || inflow_m3s === null || active === null) return [];
  const { run_s } = cycling(active.volume_m3, moves_m3s, Math.max(0, inflow_m3s));
  const share = Math.max(0, inflow_m3s) / moves_m3s;
  const hard = run_s === null || run_s > longRun_s || share > busy;
  const runs = run_s === null ? "without a stop" : `${duration(run_s)} at a stretch`;
  return [
    {
      about: "body",
      advice: hard ? "A body of cast iron." : "A body of plastic will do; cast iron lasts longer.",
      reason: `At the required flow the pump runs ${runs}, ${twoFigures(100 * Math.min(1, share))} % of the time: ${hard ? "metal gives the motor's heat to the water, plastic holds it in" : "so short that the motor's heat does not gather. Plastic does not rust either"}.`,
      source: practice,
    },
  ];
}

function highWaterFloat({ basin }: Site, say: Words): SizingAdvice {
  const above_m = say.headUnit === "ft" ? toSi(3, "in") : toSi(75, "mm");
  const at = basin.highLevel_m ?? (basin.startLevel_m === null ? null : basin.startLevel_m + above_m);
  const where = at === null ? "above the start level and below the inlet" : `at ${say.level(at)}`;
  return {
    about: "high-water-float",
    advice: `A separate float for high water, ${where}, on a circuit of its own with an alarm.`,
    reason:
      "A pump's own float that hangs or sticks is what most often leaves a pump standing; a second float tells of it whatever the cause.",
    source: practice,
  };
}

function secondPump(
  { pumps }: Site,
  { peak, requiredFlow }: Demand,
  present: PresentPump | null,
  freeboard: SizingFreeboard | null,
): SizingAdvice[] {
  if (pumps !== undefined) return [];
  const time_s = freeboard?.cases.find(({ when }) => when === "peak")?.from_start?.time.s ?? null;
  const moves_m3s = present?.moves?.flow_m3s ?? null;
  const share = moves_m3s === null || peak === null ? null : peak.flow_m3s / moves_m3s;
  const tooSmall = moves_m3s !== null && requiredFlow !== null && requiredFlow.flow_m3s > moves_m3s;
  const reasons = [
    time_s !== null && time_s < littleTime_s
      ? `if the pump stops at the measured peak, water reaches the floor in ${duration(time_s)}, less than it takes to find out and to act`
      : null,
    share !== null && share > busy
      ? `at the measured peak the one pump runs ${twoFigures(100 * Math.min(1, share))} % of the time`
      : null,
    tooSmall ? "the one pump moves less than is required" : null,
  ].filter((reason) => reason !== null);
  if (reasons.length === 0) return [];
  return [
    {
      about: "second-pump",
      advice:
        "A second pump on a float of its own a little higher, on another circuit; best one that runs without mains.",
      reason: `${capital(reasons.join("; "))}.`,
      source: practice,
    },
  ];
}

function capital(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}
