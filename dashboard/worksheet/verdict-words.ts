// How the verdict looks: a shape and a colour, neither good nor bad while it is open.

import type { VerdictStanding } from "../../analysis/sizing/headline.ts";
import type { Tone } from "../now-sentence.ts";

export const standingTone: Readonly<Record<VerdictStanding, Tone>> = {
  good: "calm",
  close: "watch",
  bad: "act",
  open: "unknown",
};
