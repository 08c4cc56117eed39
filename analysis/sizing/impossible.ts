// What cannot be, in words that name both figures.

import type { Site } from "../site.ts";
import { words } from "../units/words.ts";
import { cannotWork } from "./present-pump.ts";
import { highestStart } from "./set-levels.ts";

export function whatCannotBe(site: Site): string[] {
  const { basin } = site;
  const say = words(site.displayUnits);
  const highest = highestStart(basin);
  return [
    cannotWork(site),
    basin.startLevel_m !== null && basin.inletLevel_m != null && basin.startLevel_m > basin.inletLevel_m
      ? `The pump starts at ${say.level(basin.startLevel_m)}, and the inlet lies at ${say.level(basin.inletLevel_m)}: water stands in the drain pipe before it starts.`
      : null,
    highest !== null && basin.stopLevel_m !== null && basin.stopLevel_m >= highest.level_m
      ? `The stop level, ${say.level(basin.stopLevel_m)}, leaves no room for a start level: ${highest.why} allows ${say.level(highest.level_m)} at the most.`
      : null,
  ].filter((line) => line !== null);
}
