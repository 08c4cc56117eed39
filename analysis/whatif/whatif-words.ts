// What was taken for granted in a what-if, what to mind, and the cautions, in words.

import type { Site } from "../site.ts";
import { duration } from "../units/duration.ts";
import { words } from "../units/words.ts";
import type { Grounds } from "./plan.ts";
import type { WhatIfGiven } from "./to-whatif-answer.ts";

const flowFrom: Readonly<Record<Grounds["flow"], string>> = {
  measured: "the pump moves what it was measured to move",
  published: "the pump moves what its published curve gives on the discharge",
  "published-as-measured":
    "the pump moves what its published curve gives on the discharge, at the speed at which that curve explains what it was measured to move on the present one",
};

export function assumptionsOf(grounds: Grounds, site: Site): string[] {
  const say = words(site.displayUnits);
  const by = { measured: "as the record shows it", given: "as given" };
  const { startFrom, stopFrom } = grounds;
  const closes = `the float closes at ${say.level(grounds.start_m)}${startFrom === stopFrom ? "" : `, ${by[startFrom]},`}`;
  return [
    flowFrom[grounds.flow],
    `${closes} and opens at ${say.level(grounds.stop_m)}, ${by[stopFrom]}`,
    ...grounds.noDuty.flatMap(({ words: said, movesNothing }) => (movesNothing ? [] : [said])),
    ...(grounds.batteryRun_s === null ? [] : [`the battery runs the pump for ${duration(grounds.batteryRun_s)}`]),
    ...(grounds.noOverflowLevel ? ["no overflow level is given: the water rises without end"] : []),
  ];
}

export function notesOf({ inflow, recorded, rows, of }: WhatIfGiven): string[] {
  const notes: string[] = [];
  if (inflow.gaps > 0) {
    const count = `${inflow.gaps} gap${inflow.gaps === 1 ? "" : "s"} (${duration(inflow.missing_s)} in all)`;
    notes.push(
      inflow.choice === "bridge"
        ? `The inflow is not known in ${count}; it was taken to go straight from what came before to what came after.`
        : `The inflow is not known in ${count}; that time was left out, and the water taken to stand as it stood.`,
    );
  }
  if (recorded.atRim_s > 0 && of !== "design-storm") {
    notes.push(
      `In the recording the water stood at the overflow level for ${duration(recorded.atRim_s)}. What ran over then is not in the inflow, so that every row tells too little.`,
    );
  }
  if (recorded.powerCuts > 0 && of !== "design-storm") {
    const many =
      recorded.powerCuts === 1 ? "The recorded power cut is" : `The ${recorded.powerCuts} recorded power cuts are`;
    notes.push(`${many} in every row.`);
  }
  if (rows.some(({ outcome }) => outcome !== null)) {
    notes.push(
      "Ranges hold in 95 of 100 cases what is known of inflow, pump and floats. They leave out what no one can know: blockages, other storms.",
    );
  }
  return notes;
}

export const cautions = [
  "A replay says what this inflow would have done, not what the next storm will bring.",
  "Mains power beside water kills, and batteries give off gas and great currents: leave wiring to someone licensed for it. A generator belongs outdoors: its exhaust kills.",
  "Advice only: local codes and licensed practice decide.",
];
