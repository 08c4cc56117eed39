// Troubles that meet: what a week brings at once, where each alone would be plain.

import type { FindingKind } from "../../../analysis/findings/finding.ts";
import { day_s, hour_s, round, typicalRate_m3s } from "../plan.ts";
import type { Scenario } from "../scenario.ts";
import type { Upset } from "../senses.ts";
import { appliances, lpm } from "../weather.ts";
import { clearly, type Draw, every, faultFor, filledIn, sick, spell, withChannels } from "./sick-house.ts";

function mixed(name: string, must: readonly FindingKind[], ...draws: readonly Draw[]): Scenario {
  return sick(
    name,
    must,
    (plan, random) => {
      let drawn = plan;
      for (const draw of draws) drawn = { ...drawn, ...draw(drawn, random) };
      return drawn;
    },
    { cycles: false },
  );
}

/** A run in one to two hours, and washing machines three times a day beside it. */
const busyHousehold: Draw = (plan, random) => ({
  weather: {
    ...filledIn(plan, random.between(3600, 7200)),
    pulses: appliances(plan.days * day_s, 20, random),
  },
});

/** No run goes by in most of these half hours: nothing but the level itself can show it. */
const forHalfAnHour =
  (what: Upset["what"]): Draw =>
  (plan, random) => {
    const from_s = random.between(0.6, 1.2) * day_s;
    const to_s = from_s + random.between(0.45, 0.6) * hour_s;
    return {
      senses: { ...plan.senses, upsets: [{ from_s, to_s, what }] },
      declared: clearly("sensor-fault", from_s, to_s),
    };
  };

/** Steps of some millimetres, which its noise blurs: without, it stands as the water does. */
const coarse: Draw = ({ senses }, random) => {
  const step_m = round(random.between(0.002, 0.005), 1e-3);
  return { senses: { ...senses, step_m, white_m: step_m * random.between(0.6, 1) } };
};

/** Half a day of rain, at its highest a third to a half of what the pump moves: few readings lie in a rest. */
const stormAround: Draw = (plan, random) => ({
  weather: {
    ...filledIn(plan, 1800),
    storms: [
      {
        from_s: 0.5 * day_s,
        peak_lpm: (random.between(0.3, 0.5) * typicalRate_m3s(plan)) / lpm,
        rain_s: 10 * hour_s,
        store_s: 2 * hour_s,
        reservoirs: 2,
      },
    ],
  },
  site: { ...plan.site, pump: plan.site.pump && { ...plan.site.pump, maxStartsPerHour: null, minRun_s: null } },
});

/** Rain of some hours, at its highest a third to two thirds of what the pump moves; the float sticks while it is heavy. */
const stuckInStorm: Draw = (plan, random) => {
  const rain_s = random.between(3, 5) * hour_s;
  const from_s = random.between(0.5, 0.8) * day_s;
  const peak_lpm = (random.between(0.33, 0.67) * typicalRate_m3s(plan)) / lpm;
  const stuckFrom_s = from_s + random.between(0.5, 1) * rain_s;
  return {
    weather: { ...plan.weather, storms: [{ from_s, peak_lpm, rain_s, store_s: 0.5 * hour_s, reservoirs: 2 }] },
    ...spell(plan, { float: "stuck-off" }, stuckFrom_s, stuckFrom_s + random.between(1, 2) * hour_s),
  };
};

const trickle: Draw = (plan, random) => ({ weather: filledIn(plan, random.between(2, 4) * hour_s) });

export const mixedScenarios: readonly Scenario[] = [
  mixed(
    "a coarse level frozen for half an hour, household water, every 5 s",
    ["sensor-fault"],
    busyHousehold,
    coarse,
    every(5),
    forHalfAnHour({ kind: "frozen" }),
  ),
  mixed(
    "float stuck up in a trickle, float and level, every 2 s",
    ["float-stuck-on"],
    trickle,
    withChannels(["level", "floatOn"]),
    every(2),
    faultFor([0.3, 1], { float: "stuck-on" }),
    () => ({ allowed: ["discharge-blocked"] }),
  ),
  mixed(
    "float stuck down in a storm, level alone",
    ["float-stuck-off", "high-water"],
    stuckInStorm,
    withChannels(["level"]),
  ),
  mixed(
    "float stuck down in a storm, level alone, every 5 s",
    ["float-stuck-off", "high-water"],
    stuckInStorm,
    withChannels(["level"]),
    every(5),
  ),
  mixed(
    "level reads nothing for half an hour in a storm, every minute",
    ["sensor-fault"],
    stormAround,
    every(60),
    forHalfAnHour({ kind: "code", level_m: 0 }),
  ),
];
