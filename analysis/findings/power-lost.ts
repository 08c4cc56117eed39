// The supply is gone.

import { channelProblem } from "../readings/channel-watch.ts";
import type { Rule } from "./rule.ts";

export const powerLost: Rule = {
  kind: "power-lost",
  severity: "critical",
  onDelay_s: 0,
  // A supply that comes and goes is one loss.
  offDelay_s: 30,
  notWhileCalm: true,
  onlyInTrouble: true,
  // A pump that goes on and off as usual has its supply, whatever the contact says.
  holds: ({ mainsOn, channels }) =>
    mainsOn === null ? null : !mainsOn && channelProblem(channels, "mainsOn") !== "contradicted",
  evidence: ({ mainsOn, level_m, inflow }) => ({
    mains_on: mainsOn,
    level_m,
    inflow_m3s: inflow?.flow_m3s ?? null,
  }),
  message: () =>
    "The supply is lost and the pump cannot run. Check the breaker, or start the backup; keep a generator outdoors, away from windows: its exhaust kills.",
};
