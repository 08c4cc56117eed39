// The verdict as a shape and a few words.

import type { SizingVerdict } from "../../analysis/report/report.ts";
import type { Tone } from "../now-sentence.ts";

export const verdictTone: Readonly<Record<SizingVerdict, Tone>> = {
  adequate: "calm",
  marginal: "watch",
  undersized: "act",
  "not-enough-data": "unknown",
};

export const verdictWord: Readonly<Record<SizingVerdict, string>> = {
  adequate: "The pump is large enough",
  marginal: "The pump is hardly large enough",
  undersized: "The pump is too small",
  "not-enough-data": "Not enough is known yet",
};
