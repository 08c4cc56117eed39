// The discharge in other sizes of the same pipe: what a larger one would save, and when water in it grows too slow.

import type { FlowEstimate } from "../cycles/cycle.ts";
import { dischargeHead } from "../hydraulics/discharge-head.ts";
import { pipeBore, pipeSizes } from "../hydraulics/pipe-table.ts";
import { velocityOpinion } from "../hydraulics/pipe-velocity.ts";
import type { PumpCurve } from "../hydraulics/pump-curve.ts";
import type { DischargeSite, PipeSite, Site } from "../site.ts";
import { twoFigures, type Words, words } from "../units/words.ts";
import type { SizingDuty, SizingPipe } from "./answer/lift.ts";
import { lowestLevel_m } from "./head.ts";
import type { PresentPump } from "./present-pump.ts";
import { dutyAt } from "./what-pump-moves.ts";

/** One size down, two up: what a person would think of. */
const [down, up] = [1, 2];

/** @param pump that is there; null: nothing is known of one */
export function comparePipes(site: Site, required: FlowEstimate | null, pump: PresentPump | null): SizingPipe[] {
  const { discharge } = site;
  if (discharge === null) return [];
  const curve = pump?.curve ?? null;
  const energy_kwh = pump?.answer.energy_kwh_per_year ?? null;
  const present = columns(site, discharge, required, curve);
  return sizesAround(discharge.pipe).map((pipe) => {
    const other = columns(site, { ...discharge, pipe }, required, curve);
    const isPresent = pipe === discharge.pipe;
    const { label, insideDiameter_m } = pipeBore(pipe);
    const velocity_ms = other.duty?.velocity_ms ?? other.required?.velocity_ms ?? null;
    const opinion = velocity_ms === null ? null : velocityOpinion(velocity_ms, site.displayUnits);
    const saves = isPresent ? null : savings(present, other, energy_kwh);
    return {
      label,
      inside_diameter_mm: insideDiameter_m * 1000,
      present: isPresent,
      ...other,
      saves,
      velocity: opinion && verdicts[opinion.verdict],
      message: messageOf(opinion?.message ?? "", saves, words(site.displayUnits)),
    };
  });
}

/** The present pipe among the sizes of its material, smallest first. */
function sizesAround(pipe: PipeSite): PipeSite[] {
  const bore_m = pipeBore(pipe).insideDiameter_m;
  const sizes = pipeSizes(pipe.material);
  const nominal = (size: (typeof sizes)[number]): PipeSite => ({
    ...pipe,
    nominal_m: size.nominal_m,
    insideDiameter_m: null,
  });
  const apart_m = 0.0005;
  const smaller = sizes.filter(({ insideDiameter_m }) => insideDiameter_m < bore_m - apart_m).slice(-down);
  const larger = sizes.filter(({ insideDiameter_m }) => insideDiameter_m > bore_m + apart_m).slice(0, up);
  return [...smaller.map(nominal), pipe, ...larger.map(nominal)];
}

interface Columns {
  readonly required: SizingPipe["required"];
  readonly duty: SizingDuty | null;
}

function columns(
  site: Site,
  discharge: DischargeSite,
  required: FlowEstimate | null,
  curve: PumpCurve | null,
): Columns {
  const level_m = lowestLevel_m(site);
  const head = required === null ? null : dischargeHead(discharge, required.flow_m3s, level_m);
  return {
    required: head && {
      velocity_ms: head.velocity_ms,
      friction_m: head.frictionHead_m,
      total_m: head.totalDynamicHead_m,
    },
    duty: curve === null ? null : dutyAt(curve, discharge, level_m),
  };
}

/** A pump that moves more runs for less time; what it draws is taken to stay the same. */
function savings(present: Columns, other: Columns, energy_kwh: number | null): SizingPipe["saves"] {
  const more_lpm = present.duty && other.duty ? other.duty.lpm - present.duty.lpm : null;
  const energy =
    energy_kwh === null || present.duty === null || other.duty === null
      ? null
      : energy_kwh * (1 - present.duty.lpm / other.duty.lpm);
  return {
    head_m: present.required && other.required ? present.required.friction_m - other.required.friction_m : null,
    more_lpm,
    energy_kwh_per_year: energy,
  };
}

const verdicts = { settles: "too-slow", good: "good", noisy: "fast", hammers: "too-fast" } as const;

function messageOf(flows: string, saves: SizingPipe["saves"], say: Words): string {
  if (saves?.head_m == null) return flows;
  const does = saves.head_m >= 0 ? "saves" : "costs";
  const energy =
    saves.energy_kwh_per_year === null || Math.abs(saves.energy_kwh_per_year) < 0.05
      ? ""
      : ` and ${twoFigures(Math.abs(saves.energy_kwh_per_year))} kWh in a year`;
  return `It ${does} ${say.smallHead(Math.abs(saves.head_m))} of head at the required flow${energy}. ${flows}`.trim();
}
