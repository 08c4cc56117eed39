// Advice on what stands around the pump: solids, check valve, pipe, basin. The pump itself is features.ts.

import { pathVolume_m3 } from "../hydraulics/discharge-path.ts";
import { highestVelocity, keepsSolidsMoving, staysQuiet } from "../hydraulics/pipe-velocity.ts";
import type { Site } from "../site.ts";
import { toSi } from "../units/unit.ts";
import { twoFigures, type Words } from "../units/words.ts";
import { activeVolume } from "./active-volume.ts";
import type { SizingPipe } from "./answer/lift.ts";
import type { Demand } from "./demand.ts";
import type { SizingAdvice } from "./sizing-answer.ts";

export const practice = "common practice, no source";

export function solids(): SizingAdvice[] {
  return [
    {
      about: "solids",
      advice:
        "For drain water, a pump that passes grit and small stones of 3/8 in (10 mm) or more, standing off the bottom on a firm base. Sewage is another trade: a sealed basin, a vent and a pump that passes 2 in (50 mm), by licensed practice.",
      reason:
        "Drain tiles bring sand and gravel; a strainer alone clogs, and what lies on the bottom wears the impeller.",
      source: practice,
    },
  ];
}

export function checkValve(site: Site, say: Words): SizingAdvice[] {
  const { discharge } = site;
  if (discharge === null) return [];
  const fittings = [...discharge.fittings, ...(discharge.further ?? []).flatMap((section) => section.fittings)];
  if (fittings.some(({ kind }) => kind.startsWith("check-valve"))) return [];
  const holds_m3 = pathVolume_m3(discharge);
  const active = activeVolume(site);
  const share =
    active === null ? "" : `, ${twoFigures((100 * holds_m3) / active.volume_m3)} % of what lies between the floats`;
  return [
    {
      about: "check-valve",
      advice: "A check valve in the discharge, where it can be reached.",
      reason: `None is listed: up to the ${say.volume(holds_m3)} that the pipe holds run back after every stop${share}, and are pumped again.`,
      source: practice,
    },
  ];
}

/** Where the required flow would be loud in the pipe that is there, or the pump's own flow too slow for it. */
export function pipe(pipes: readonly SizingPipe[], say: Words): SizingAdvice[] {
  const present = pipes.find((each) => each.present);
  if (present?.required == null) return [];
  const { velocity_ms } = present.required;
  const moved_ms = present.duty?.velocity_ms ?? velocity_ms;
  if (velocity_ms > staysQuiet.velocity_ms) {
    const quiet = pipes.find(({ required }) => required !== null && required.velocity_ms <= staysQuiet.velocity_ms);
    const which = quiet === undefined ? "A wider discharge." : `A discharge of ${quiet.label}.`;
    const saved = quiet?.saves?.head_m ?? null;
    const less = saved === null ? "" : `, and asks for ${say.smallHead(saved)} less head`;
    const instead =
      quiet?.required == null ? "" : `; in that one it goes at ${say.velocity(quiet.required.velocity_ms)}${less}`;
    return [
      {
        about: "pipe",
        advice: which,
        reason: `At the required flow the water would go through the ${present.label} at ${say.velocity(velocity_ms)}, more than the ${say.velocity(staysQuiet.velocity_ms)} up to which it is quiet${instead}.`,
        source: velocity_ms > highestVelocity.velocity_ms ? highestVelocity.source : staysQuiet.source,
      },
    ];
  }
  if (moved_ms >= keepsSolidsMoving.velocity_ms) return [];
  return [
    {
      about: "pipe",
      advice: "A narrower discharge, or a stronger pump.",
      reason: `The water goes through the ${present.label} at ${say.velocity(moved_ms)}: less than the ${say.velocity(keepsSolidsMoving.velocity_ms)} that keep sand and silt moving.`,
      source: keepsSolidsMoving.source,
    },
  ];
}

/** Above about 30 gpm a 24 in basin is preferred. */
const widerFrom_m3s = toSi(30, "gpm");

export function biggerBasin({ basin }: Site, { peak }: Demand, say: Words): SizingAdvice[] {
  const { geometry } = basin;
  if (geometry.shape !== "round" || geometry.diameter_m >= toSi(23.5, "in")) return [];
  if (peak === null || peak.flow_m3s < widerFrom_m3s) return [];
  return [
    {
      about: "basin",
      advice: `A basin of ${say.level(toSi(24, "in"))} across when it is next replaced.`,
      reason: `${say.flow(peak.flow_m3s)} came in; from about ${say.flow(widerFrom_m3s)} on, ${say.level(geometry.diameter_m)} is narrow for it.`,
      source: "University of Illinois Extension; common practice",
    },
  ];
}
