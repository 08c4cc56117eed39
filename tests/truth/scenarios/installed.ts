// Healthy basins as they are installed: site files a little off, tethered floats, readings far apart, coarse sensors,
// missing marks, dry weeks, household water. Nothing is to be found, and each is long enough to find something.

import { day_s, drawHouse, hour_s, type Plan, steadyWeather, swing_m3, typicalRate_m3s } from "../plan.ts";
import type { Random } from "../random.ts";
import { judgedByAll, type Scenario } from "../scenario.ts";
import { appliances, lpm } from "../weather.ts";
import { modestStorm } from "./water.ts";

type Change = (plan: Plan, random: Random) => Partial<Plan>;

/** Whether and what is found is judged; what a site file that is off makes of the figures is not. */
function installed(name: string, ...changes: readonly Change[]): Scenario {
  return {
    name,
    group: "rows",
    must: [],
    judge: { ...judgedByAll, flows: false, cycles: false },
    draw(random) {
      let plan: Plan = { ...drawHouse(random), days: 14 };
      for (const change of changes) plan = { ...plan, ...change(plan, random) };
      return plan;
    },
  };
}

const every =
  (sample_s: number): Change =>
  () => ({ sample_s });

const sensing =
  (change: Partial<Plan["senses"]>): Change =>
  ({ senses }) => ({ senses: { ...senses, ...change } });

/** The site file's levels are so much higher than the floats' own. */
const levelsOff =
  (start_m: number, stop_m: number): Change =>
  ({ site, trips }) => ({
    site: {
      ...site,
      basin: { ...site.basin, startLevel_m: trips.start_m + start_m, stopLevel_m: trips.stop_m + stop_m },
    },
  });

const scatter =
  (scatter_m: number): Change =>
  ({ trips }) => ({ trips: { ...trips, scatter_m } });

/** Rain every second day, that the pump holds with ease. */
const rainy: Change = (plan, random) => ({
  weather: {
    ...plan.weather,
    storms: Array.from({ length: Math.floor(plan.days / 2) }, (_, i) =>
      modestStorm(plan, random, (2 * i + 0.7) * day_s),
    ),
  },
});

const fills =
  (least_s: number, most_s: number): Change =>
  (plan, random) => ({ weather: steadyWeather(swing_m3(plan) / random.between(least_s, most_s) / lpm) });

const household: Change = ({ weather, days }, random) => ({
  weather: { ...weather, pulses: appliances(days * day_s, 20, random) },
});

/** Three buckets one after the other, and a float that is held down for a moment: somebody tests. */
const tested: Change = ({ weather, changes, days }, random) => {
  const times_s = Array.from({ length: Math.floor(days / 2) }, (_, i) => (2 * i + random.between(0.4, 1.4)) * day_s);
  const buckets = times_s.flatMap((at_s) =>
    [0, 70, 150].map((after_s) => ({
      from_s: at_s + after_s,
      to_s: at_s + after_s + random.between(3, 6),
      flow_lpm: random.between(80, 140),
    })),
  );
  return { weather: { ...weather, pulses: [...weather.pulses, ...buckets] }, changes };
};

/** The float hangs for half a minute to a minute before it lets go. */
const hangs: Change = ({ days }, random) => ({
  changes: Array.from({ length: 4 * days }, (_, i) => {
    const at_s = (i / 4 + random.between(0, 0.2)) * day_s;
    return [
      { at_s, set: { float: "stuck-off" as const } },
      { at_s: at_s + random.between(30, 60), set: { float: "free" as const } },
    ];
  }).flat(),
});

const noMarks: Change = ({ site }) => ({
  site: {
    ...site,
    basin: { ...site.basin, startLevel_m: null, stopLevel_m: null, highLevel_m: null, overflowLevel_m: null },
  },
});

/** Tides of the ground water: it stands little over the start level, and the water creeps past it. */
const creeping: Change = ({ weather, trips }, random) => ({
  weather: { ...weather, groundHead_m: trips.start_m + random.between(0.02, 0.05), refLevel_m: trips.stop_m },
});

/** … by millimetres: what comes in has all but stopped when the pump starts. */
const hardlyReaching: Change = ({ weather, trips }, random) => ({
  weather: { ...weather, groundHead_m: trips.start_m + random.between(0.004, 0.02), refLevel_m: trips.stop_m },
});

/** A storm for half a day that takes under half of what the pump moves. */
const wetDay: Change = (plan, random) => ({
  weather: {
    ...plan.weather,
    storms: [
      {
        from_s: random.between(3, 8) * day_s,
        peak_lpm: (random.between(0.3, 0.45) * typicalRate_m3s(plan)) / lpm,
        rain_s: 12 * hour_s,
        store_s: 2 * hour_s,
        reservoirs: 2,
      },
    ],
  },
  site: { ...plan.site, pump: plan.site.pump && { ...plan.site.pump, maxStartsPerHour: null, minRun_s: null } },
});

/** A pump so small that it takes minutes for each run, and water for half of its time and more. */
const smallPump: Change = (plan, random) => {
  const share = random.between(0.15, 0.3);
  const pump = {
    ...plan.pump,
    linear_sm2: plan.pump.linear_sm2 / share,
    quadratic_s2m5: plan.pump.quadratic_s2m5 / share ** 2,
  };
  const pipe = { ...plan.pipe, friction_s2m5: plan.pipe.friction_s2m5 / share ** 2 };
  const weather = steadyWeather((random.between(0.5, 0.8) * typicalRate_m3s({ ...plan, pump, pipe })) / lpm);
  const site = { ...plan.site, pump: plan.site.pump && { ...plan.site.pump, curve: null, maxStartsPerHour: null } };
  return { pump, pipe, weather, site, days: 4, allowed: [...plan.allowed, "undersized"] };
};

export const installedScenarios: readonly Scenario[] = [
  installed("site's levels 20 mm under the floats'", levelsOff(-0.02, -0.02), rainy),
  installed("site's start level 30 mm under the float's, every 10 s", every(10), levelsOff(-0.03, -0.01), rainy),
  installed("site's levels 50 mm under the floats'", levelsOff(-0.05, -0.05), rainy),
  installed("site's levels 50 mm over the floats', every 5 s", every(5), levelsOff(0.05, 0.05), rainy),
  installed("site's levels 20 mm over the floats', every 5 s", every(5), levelsOff(0.02, 0.02), rainy),
  installed("tethered float, trips scatter by 8 mm", scatter(0.008), rainy),
  installed("a float that hangs for up to a minute", hangs),
  installed("dry weeks: a run in a day, every 10 s", every(10), () => ({ days: 42 }), fills(15 * hour_s, 30 * hour_s)),
  installed("no levels in the site file, every 5 s", every(5), noMarks, rainy),
  installed("no levels in the site file, every half minute", every(30), noMarks, rainy),
  installed("no levels in the site file, level alone", noMarks, sensing({ channels: ["level"] }), rainy),
  installed("steps of 5 mm, every half minute", every(30), sensing({ step_m: 0.005 }), rainy),
  installed(
    "noise of 5 mm, level alone, every 10 s",
    every(10),
    sensing({ white_m: 0.005, channels: ["level"] }),
    rainy,
  ),
  installed(
    "ultrasonic, level alone, every 5 s",
    every(5),
    sensing({ coloured_m: 0.002, coloured_s: 25, daily_m: 0.006, channels: ["level"] }),
    rainy,
  ),
  installed("household water twice a day, every 5 s", every(5), household),
  installed("household water twice a day, every half minute", every(30), household),
  installed("buckets poured in, every 5 s", every(5), tested),
  installed("buckets poured in, every second", tested),
  installed("ground water little over the start level", creeping, scatter(0.003)),
  installed("ground water that hardly reaches the start level", hardlyReaching),
  installed("a pump small for its house, every half minute", every(30), smallPump),
  installed(
    "a pump small for its house, level alone, noise of 6 mm",
    smallPump,
    sensing({ white_m: 0.006, channels: ["level"] }),
  ),
  installed("a wet day, every 10 s", every(10), wetDay),
  installed("a wet day, every minute", every(60), wetDay),
  installed(
    "a wet day, current, every 5 s",
    every(5),
    sensing({ channels: ["level", "current", "highFloat"] }),
    wetDay,
  ),
  installed("contact that bounces for a second, ripples of 6 mm", sensing({ bounce_s: 1, ripple_m: 0.006 }), rainy),
];
