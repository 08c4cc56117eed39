// What cannot be, in words that name both figures.

import type { Site } from "../site.ts";
import { words } from "../units/words.ts";
import type { Demand } from "./demand.ts";
import { cannotWork, type PresentPump } from "./present-pump.ts";
import { highestStart } from "./set-levels.ts";

export function whatCannotBe(site: Site, { peak }: Demand, present: PresentPump | null): string[] {
  const { basin } = site;
  const say = words(site.displayUnits);
  const highest = highestStart(basin);
  const moves = present?.moves ?? null;
  return [
    cannotWork(site),
    moves !== null && peak !== null && peak.flow_m3s > moves.flow_m3s
      ? `At its peak ${say.flow(peak.flow_m3s)} came in, and the pump moves ${say.flow(moves.flow_m3s)}: while that lasts the water rises although the pump runs.`
      : null,
    basin.startLevel_m !== null && basin.inletLevel_m != null && basin.startLevel_m > basin.inletLevel_m
      ? `The pump starts at ${say.level(basin.startLevel_m)}, and the inlet lies at ${say.level(basin.inletLevel_m)}: water stands in the drain pipe before it starts.`
      : null,
    highest !== null && basin.stopLevel_m !== null && basin.stopLevel_m >= highest.level_m
      ? `The stop level, ${say.level(basin.stopLevel_m)}, leaves no room for a start level: ${highest.why} allows ${say.level(highest.level_m)} at the most.`
      : null,
  ].filter((line) => line !== null);
}
