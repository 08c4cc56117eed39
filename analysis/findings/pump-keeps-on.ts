// The pump does not stop, told by the level alone: the water stays down under where runs stop and does not rise as it does
// at rest.

import type { Rule } from "./rule.ts";

export const pumpKeepsOn: Rule = {
  kind: "float-stuck-on",
  severity: "critical",
  onDelay_s: 0,
  offDelay_s: 30,
  notWhileCalm: true,
  holds: ({ pumpInferred, level_m, levelTosses, keptDown }) =>
    pumpInferred && level_m !== null && !levelTosses ? keptDown.kept : null,
  evidence: ({ level_m, keptDown, time_s, stopLevel_m }) => ({
    level_m,
    stop_level_m: stopLevel_m,
    kept_down_s: Number.isNaN(keptDown.from_s) ? null : time_s - keptDown.from_s,
  }),
  message: () =>
    "The water stays down under where the pump stops, and does not rise as it does at rest: the pump seems to run on. Listen to it; if it runs, switch it off at its plug before it overheats, then free or replace the float, and watch the level while it is off. If it does not run, check the level sensor.",
};
