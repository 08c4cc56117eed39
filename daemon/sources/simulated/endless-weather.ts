// Weather without end: after a week begins another of the next seed, with the ground as wet as it was left.

import type { Bearing, Week } from "./inflow-of-week.ts";
import { inflowOfWeek } from "./inflow-of-week.ts";
import { dryGround } from "./runoff.ts";
import type { HouseScenario } from "./scenarios.ts";
import { week_s } from "./weather.ts";

export interface EndlessWeather {
  /** Both are asked for times that do not go back. */
  inflow_m3s(sinceMidnight_s: number): number;
  rain_mmPerMinute(sinceMidnight_s: number): number;
}

export function endlessWeather(scenario: HouseScenario, seed: number, bearing: Bearing): EndlessWeather {
  let number = 0;
  let week: Week = inflowOfWeek(scenario, seed, bearing, dryGround);

  function minuteOf(sinceMidnight_s: number): number {
    while (Math.floor(sinceMidnight_s / week_s) > number) {
      number++;
      week = inflowOfWeek(scenario, seed + number, bearing, week.groundAtEnd);
    }
    return (sinceMidnight_s - number * week_s) / 60;
  }

  return {
    inflow_m3s(sinceMidnight_s: number): number {
      const minute = minuteOf(sinceMidnight_s);
      const row = Math.floor(minute);
      const before = week.inflow_m3s[row] ?? 0;
      return before + (minute - row) * ((week.inflow_m3s[row + 1] ?? before) - before);
    },
    rain_mmPerMinute: (sinceMidnight_s: number) => week.rain_mm[Math.floor(minuteOf(sinceMidnight_s))] ?? 0,
  };
}
