// What the sheet comes to: the sizing answer, worked out in the page from what was measured and what is tried out.

import { computed } from "@preact/signals";
import { sizeBasin } from "../../analysis/sizing/size-basin.ts";
import type { SizingAnswer } from "../../analysis/sizing/sizing-answer.ts";
import { recordFor } from "./learned.ts";
import { wholeRises } from "./rises.ts";
import { byHand, learned, present, tried } from "./state.ts";

export const answer = computed<SizingAnswer | null>(() => outcome.value.answer);
/** Why there is none, in the words of what could not be reckoned. */
export const failure = computed<string | null>(() => outcome.value.failure);

const outcome = computed<{ readonly answer: SizingAnswer | null; readonly failure: string | null }>(() => {
  const [record, found, as] = [learned.value, tried.value, present.value];
  if (found === null || as === null) return { answer: null, failure: null };
  const rises = wholeRises.value;
  const isByHand = record === null || byHand.value;
  try {
    const answer = sizeBasin({
      site: found.site,
      logged: isByHand ? null : recordFor(record.logged, as.site, found.site),
      hand: isByHand && rises.length > 0 ? { rises, uRuler_m: null, uWatch_s: null, wanted: null } : null,
    });
    return { answer, failure: null };
  } catch (error) {
    if (!(error instanceof RangeError)) throw error;
    return { answer: null, failure: error.message };
  }
});
