// The house in which things go wrong: every contact there, a run every ten to thirty minutes, and the ways to say what
// breaks and when.

import type { FindingKind } from "../../../analysis/findings/finding.ts";
import { day_s, drawHouse, hour_s, type Plan, steadyWeather, swing_m3 } from "../plan.ts";
import type { Condition } from "../plant.ts";
import type { Random } from "../random.ts";
import { judgedByAll, type Scenario } from "../scenario.ts";
import { lpm } from "../weather.ts";

/** What is other in this house. */
export type Draw = (plan: Plan, random: Random) => Partial<Plan>;

/** @param more which runs are to be found, and what cause a finding is to give */
export function sick(
  name: string,
  must: readonly FindingKind[],
  draw: Draw,
  more: { readonly cycles?: boolean; readonly causes?: Scenario["causes"] } = {},
): Scenario {
  return {
    name,
    group: "sick",
    must,
    causes: more.causes ?? {},
    judge: { ...judgedByAll, flows: false, cycles: more.cycles ?? true },
    draw(random) {
      const drawn = drawHouse(random);
      const house: Plan = {
        ...drawn,
        weather: filledIn(drawn, random.between(600, 1800)),
        senses: { ...drawn.senses, channels: ["level", "pumpOn", "highFloat", "mains"] },
      };
      return { ...house, ...draw(house, random) };
    },
  };
}

/** Steady inflow that fills the basin in so many seconds. */
export function filledIn(plan: Plan, fill_s: number) {
  return steadyWeather(swing_m3(plan) / fill_s / lpm);
}

/** From `from_s` to `to_s` the condition is another. */
export function spell(plan: Plan, set: Partial<Condition>, from_s: number, to_s: number): Partial<Plan> {
  const before = Object.fromEntries(Object.keys(set).map((key) => [key, plan.condition[key as keyof Condition]]));
  return { changes: [...plan.changes, { at_s: from_s, set }, { at_s: to_s, set: before }] };
}

/** A fault from somewhere in the second half of the first day, for some hours. */
export function faultFor(hours: readonly [number, number], set: Partial<Condition>, more: Draw = () => ({})): Draw {
  return (plan, random) => {
    const from_s = random.between(0.6, 1) * day_s;
    const other = { ...plan, ...more(plan, random) };
    return { ...other, ...spell(other, set, from_s, from_s + random.between(...hours) * hour_s) };
  };
}

export function clearly(kind: FindingKind, from_s: number, to_s: number): Plan["declared"] {
  return [
    { kind, certainty: "clear", from_s, to_s },
    { kind, certainty: "allowed", from_s, to_s },
  ];
}

export function withChannels(channels: Plan["senses"]["channels"]): Draw {
  return ({ senses }) => ({ senses: { ...senses, channels } });
}

export function every(sample_s: number): Draw {
  return () => ({ sample_s });
}
