// One trial of a design storm: a house's record is looked at, a storm of the tables is foretold, and the house itself
// tells what would have come.

import { calmBase } from "../../../analysis/storms/calm-base.ts";
import { designRain } from "../../../analysis/storms/design-rain.ts";
import { type DesignInflow, designStorm } from "../../../analysis/storms/design-storm.ts";
import type { DesignStormSite } from "../../../analysis/storms/design-storm-site.ts";
import { findStorms } from "../../../analysis/storms/find-storms.ts";
import { fitResponse, type RainResponse } from "../../../analysis/storms/fit-response.ts";
import { randomOf } from "../../truth/random.ts";
import { drawHouse, highestMean } from "./wet-ground.ts";

export interface Trial {
  readonly house: string;
  readonly storms: number;
  readonly design: DesignInflow;
  readonly answer: RainResponse;
  readonly truth_m3s: number;
  readonly seen_m3s: number;
  readonly inside: boolean;
}

/** @returns null when the record has no storm with its rain */
export function designTrial(seed: string, change: Parameters<typeof drawHouse>[1] = {}): Trial | null {
  const house = drawHouse(seed, change);
  const found = findStorms(house.inflow, house.rain);
  const { storms, course, masterRecession } = found;
  if (course === null) return null;
  const answer = fitResponse(storms, course, house.rain, masterRecession);
  if (answer === null) return null;
  const random = randomOf("design", seed);
  const long = random.chance(0.6);
  const storm: DesignStormSite = {
    depth_m: long ? random.between(0.05, 0.15) : random.between(0.025, 0.07),
    duration_s: 3600 * (long ? 24 : random.oneOf([1, 3, 6, 12])),
    distribution: random.oneOf(["nrcs-type-2", "nrcs-type-1a", "nrcs-type-3", "nrcs-type-1", "uniform", "balanced"]),
  };
  const design = designStorm(storm, answer, calmBase(found), house.rain);
  // It comes some days after the record ends, or at once.
  const dry = new Float64Array(Math.round(random.between(0, 4) * 1440));
  const { rain_m } = designRain(storm);
  const after = house.after([...dry, ...rain_m, ...new Float64Array(3 * 1440)]);
  const truth_m3s = highestMean(after.subarray(dry.length), 600);
  const { low_m3s, high_m3s } = design.peaks[600];
  return {
    house: house.name,
    storms: answer.storms,
    design,
    answer,
    truth_m3s,
    seen_m3s: Math.max(...storms.map(({ peaks }) => peaks[600]?.inflow_m3s ?? 0)),
    inside: truth_m3s >= low_m3s && truth_m3s <= high_m3s,
  };
}
