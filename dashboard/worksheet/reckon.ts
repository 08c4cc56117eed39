// What the sheet comes to: the sizing answer, worked out in the page from what was measured and what is tried out. It takes
// a moment on a phone, so while figures are typed it is done for the latest of them only.

import { computed, effect, signal } from "@preact/signals";
import type { Site } from "../../analysis/site.ts";
import type { LoggedRecord } from "../../analysis/sizing/request.ts";
import { sizeBasin } from "../../analysis/sizing/size-basin.ts";
import type { SizingAnswer } from "../../analysis/sizing/sizing-answer.ts";
import { type StormDemand, stormDemand } from "../../analysis/sizing/storm-demand.ts";
import { createPacer } from "../pacer.ts";
import { recordFor } from "./learned.ts";
import { wholeRises } from "./rises.ts";
import { byHand, learned, present, tried } from "./state.ts";

interface Outcome {
  readonly answer: SizingAnswer | null;
  /** Why there is none, in the words of what could not be reckoned. */
  readonly failure: string | null;
}

const outcome = signal<Outcome>({ answer: null, failure: null });

export const answer = computed(() => outcome.value.answer);
export const failure = computed(() => outcome.value.failure);

const pacer = createPacer(
  async () => {
    outcome.value = reckon();
  },
  { shortestPause_ms: 150, shareOfTime: 0.5 },
);
effect(() => {
  void [learned.value, tried.value, present.value, wholeRises.value, byHand.value];
  pacer.want();
});

function reckon(): Outcome {
  const [record, found, as] = [learned.peek(), tried.peek(), present.peek()];
  if (found === null || as === null) return { answer: null, failure: null };
  const rises = wholeRises.peek();
  const isByHand = record === null || byHand.peek();
  try {
    const answer = sizeBasin({
      site: found.site,
      ...(record !== null && !isByHand ? { storm: stormOf(found.site, record.logged) } : {}),
      logged: isByHand ? null : recordFor(record.logged, as.site, found.site),
      hand: isByHand && rises.length > 0 ? { rises, uRuler_m: null, uWatch_s: null, wanted: null } : null,
    });
    return { answer, failure: null };
  } catch (error) {
    return { answer: null, failure: error instanceof Error ? error.message : String(error) };
  }
}

let storm: { readonly logged: LoggedRecord; readonly design: string; readonly demand: StormDemand | null } | null =
  null;

/** The storms take most of the time, and hang on nothing but the record and the storm to hold. */
function stormOf(site: Site, logged: LoggedRecord): StormDemand | null {
  const design = JSON.stringify([site.design, site.displayUnits]);
  if (storm?.logged !== logged || storm.design !== design) {
    storm = { logged, design, demand: stormDemand(site, logged) };
  }
  return storm.demand;
}
