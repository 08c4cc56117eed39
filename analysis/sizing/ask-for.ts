// The smallest rating to ask a supplier for, rounded up in the site's own units. Never a brand.

import { dischargeHead, staticHead, waterOf } from "../hydraulics/discharge-head.ts";
import { hydraulicPower_w } from "../hydraulics/pump-power.ts";
import { waterDensity_kgm3 } from "../hydraulics/water.ts";
import type { DischargeSite, Site } from "../site.ts";
import { fromSi, toSi, type Unit } from "../units/unit.ts";
import { figures, twoFigures, words } from "../units/words.ts";
import type { SizingAskFor } from "./answer/lift.ts";
import type { Demand } from "./demand.ts";
import { lowestLevel_m } from "./head.ts";
import { lpm } from "./to-answer.ts";

interface Rating {
  readonly flow_m3s: number;
  readonly head_m: number;
  readonly words: string;
}

/**
 * @param atMost_m3s what the basin bears without too many starts; null: not known
 * @returns null without a discharge or a required flow
 */
export function askFor(
  site: Site,
  { requiredFlow: required, highestRequired_m3s }: Demand,
  atMost_m3s: number | null,
): SizingAskFor | null {
  const { discharge } = site;
  if (discharge === null || required === null || !(required.flow_m3s > 0)) return null;
  const level_m = lowestLevel_m(site);
  const rating = ratingFor(discharge, required.flow_m3s, level_m, site.displayUnits);
  const sure = ratingFor(discharge, highestRequired_m3s ?? required.flow_m3s, level_m, site.displayUnits);
  const say = words(site.displayUnits);
  const density_kgm3 = waterDensity_kgm3(waterOf(discharge));
  const hydraulic_w = hydraulicPower_w(rating, waterOf(discharge));
  return {
    lpm: lpm(rating.flow_m3s),
    head_m: rating.head_m,
    words: rating.words,
    to_be_sure:
      sure.words === rating.words ? null : { lpm: lpm(sure.flow_m3s), head_m: sure.head_m, words: sure.words },
    shut_off_above_m: staticHead(discharge, level_m),
    at_most_lpm: atMost_m3s === null ? null : lpm(atMost_m3s),
    hydraulic_w,
    steps: [
      {
        what: "flow",
        sum: `${say.flow(required.flow_m3s)} required, rounded up`,
        result: say.flow(rating.flow_m3s),
        source: null,
      },
      {
        what: "head at that flow",
        sum: `${say.head(headAt(discharge, rating.flow_m3s, level_m))}, rounded up`,
        result: say.head(rating.head_m),
        source: "total dynamic head, water at the stop level",
      },
      {
        what: "power that the water takes on",
        sum: `ρ·g·Q·H, ρ ${figures(density_kgm3)} kg/m³`,
        result: `${twoFigures(hydraulic_w)} W (${twoFigures(fromSi(hydraulic_w, "hp"))} hp)`,
        source:
          "the motor needs several times as much: small pumps turn a third of it, or less, into lift; common practice, no source",
      },
    ],
  };
}

/** Rounded up to what catalogues are read to: whole gpm and ft; 5 L/min and half metres. */
export function ratingFor(
  discharge: DischargeSite,
  flow_m3s: number,
  level_m: number,
  displayUnits: Site["displayUnits"],
): Rating {
  const us = displayUnits === "us";
  const flow = up(flow_m3s, us ? "gpm" : "L/min", us ? 1 : 5);
  const head = up(headAt(discharge, flow.si, level_m), us ? "ft" : "m", us ? 1 : 0.5);
  return { flow_m3s: flow.si, head_m: head.si, words: `at least ${flow.words} at ${head.words}` };
}

function up(value: number, unit: Unit, step: number): { readonly si: number; readonly words: string } {
  // A figure that stands on the step already, but for the last digits, stays there.
  const rounded = step * Math.ceil(fromSi(value, unit) / step - 1e-9);
  return { si: toSi(rounded, unit), words: `${rounded} ${unit}` };
}

function headAt(discharge: DischargeSite, flow_m3s: number, level_m: number): number {
  return dischargeHead(discharge, flow_m3s, level_m).totalDynamicHead_m;
}
