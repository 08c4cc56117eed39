// The trade's rules of thumb for an average house, each beside what this program computes, with why the two differ.
// They are common practice without a source: nothing here computes with them.

import { basinGeometry } from "../geometry/basin.ts";
import type { DischargeSite } from "../site.ts";
import { fromSi, toSi } from "../units/unit.ts";
import { dischargeHead } from "./discharge-head.ts";
import { dutyPoint } from "./duty-point.ts";
import { pumpCurve } from "./pump-curve.ts";
import { hydraulicPower_w, typicalEfficiency } from "./pump-power.ts";
import { threeFigureCurve } from "./three-figures.ts";

export interface RuleOfThumb {
  readonly rule: string;
  /** In `unit`. */
  readonly rough: number;
  readonly exact: number;
  readonly unit: "gal/in" | "gpm" | "ft" | "hp";
  readonly why: string;
}

/** What the rules are silent about, so that they can be computed at all. */
export const thumbDischarge: DischargeSite = {
  highPoint_m: toSi(8, "ft"),
  pipe: { material: "pvc-40", nominal_m: toSi(1.5, "in"), insideDiameter_m: null, length_m: toSi(20, "ft") },
  fittings: [
    { kind: "elbow-90", count: 3 },
    { kind: "check-valve-swing", count: 1 },
  ],
};

const allowance = 1.5;

/** The rules, in the order in which one leads to the next. */
export function rulesOfThumb(): RuleOfThumb[] {
  const small = gallonsAnInch(18);
  const large = gallonsAnInch(24);
  const inflow_gpm = 20 * small;
  const storm_gpm = allowance * inflow_gpm;
  const head_ft = (gpm: number) => fromSi(dischargeHead(thumbDischarge, toSi(gpm, "gpm"), 0).totalDynamicHead_m, "ft");
  const duty = { flow_m3s: toSi(storm_gpm, "gpm"), head_m: toSi(head_ft(storm_gpm), "ft") };
  return [
    {
      rule: "an 18 in basin holds about a gallon an inch",
      rough: 1,
      exact: small,
      unit: "gal/in",
      why: "π/4 · 18² in² are 254.5 in³ an inch, and a gallon is 231 in³: the rounded figure alone is 10 % off, and makes the inflow too small",
    },
    {
      rule: "a 24 in basin holds about two gallons an inch",
      rough: 2,
      exact: large,
      unit: "gal/in",
      why: "the same sum; here the rounding makes the inflow too large, which is safe. Pump and pipes take their own share off both",
    },
    {
      rule: "a rise of 20 in in a minute in an 18 in basin is about 20 gpm",
      rough: 20,
      exact: inflow_gpm,
      unit: "gpm",
      why: "the rounded gallon again; the exact answer also takes off what pump and pipes occupy, and has the error of tape and watch beside it",
    },
    {
      rule: "half again for heavier storms makes 30 gpm",
      rough: 30,
      exact: storm_gpm,
      unit: "gpm",
      why: "half again is an allowance, not a measurement: it is kept as it is, on the exact inflow",
    },
    {
      rule: "a pump 2 ft under the floor with 6 ft up to the ceiling lifts 8 ft before friction, so one rated for 10 ft would do",
      rough: 10,
      exact: head_ft(30),
      unit: "ft",
      why: "the 2 ft left for friction do for 2 in pipe, not for 20 ft of 1-1/2 in with three elbows, a swing check valve and the exit at 30 gpm. Lift counts from the water, not from the pump",
    },
    {
      rule: "so a pump rated 30 gpm at 10 ft moves 30 gpm there",
      rough: 30,
      exact: fromSi(ratedMoves_m3s(), "gpm"),
      unit: "gpm",
      why: "where more head is asked for than it is rated for, it moves less; taken here with 20 ft at shut-off and 45 gpm at no head",
    },
    {
      rule: "a third of a horsepower or more suits an average house",
      rough: 1 / 3,
      exact: fromSi(hydraulicPower_w(duty), "hp") / typicalEfficiency.pump,
      unit: "hp",
      why: `power in the water at ${storm_gpm.toFixed(1)} gpm and ${head_ft(storm_gpm).toFixed(1)} ft over a pump efficiency of ${typicalEfficiency.pump} (${typicalEfficiency.source}): the motor's rating says nothing of what the pump moves, its curve does`,
    },
  ];
}

function gallonsAnInch(diameter_in: number): number {
  const { area_m2 } = basinGeometry({ shape: "round", diameter_m: toSi(diameter_in, "in"), occupiedArea_m2: 0 });
  return fromSi(area_m2(0) * toSi(1, "in"), "gal");
}

function ratedMoves_m3s(): number {
  const rated = { flow_m3s: toSi(30, "gpm"), head_m: toSi(10, "ft") };
  const curve = pumpCurve(threeFigureCurve(toSi(20, "ft"), rated, toSi(45, "gpm")));
  return dutyPoint(curve, thumbDischarge, 0)?.flow_m3s ?? Number.NaN;
}
