// What a person reads who reads no further: the verdict in a few words, for page and paper, and that it starts too often,
// for the command line too.

import { figures } from "../units/words.ts";
import type { SizingAnswer } from "./sizing-answer.ts";

/** How sure the verdict is; `open`: neither good nor bad can be said yet, and it must not look as if it could. */
export type VerdictStanding = "good" | "close" | "bad" | "open";

export interface Headline {
  readonly words: string;
  readonly standing: VerdictStanding;
  /** Its figures hold for what has been seen, and more is to be seen; what stands on them must say so. */
  readonly soFarOnly: boolean;
}

export function headline(answer: Pick<SizingAnswer, "pump" | "seen" | "measured" | "required">): Headline {
  const { pump, seen, measured, required } = answer;
  const verdict = pump?.verdict ?? "not-enough-data";
  const byHand = measured?.by === "hand";
  const soFarOnly = seen?.enough === false || byHand;
  if (verdict === "undersized") return { words: "The pump is too small", standing: "bad", soFarOnly };
  if (verdict === "not-enough-data" || seen?.enough === false) {
    // Where both figures are there, it is the weather that is missing.
    const unseen = pump?.moves != null && required !== null && seen?.enough === false;
    const words = unseen
      ? "Not enough has been seen yet to judge the pump"
      : "Not enough is known yet to judge the pump";
    return { words, standing: "open", soFarOnly };
  }
  if (verdict === "marginal") return { words: "The pump is hardly large enough", standing: "close", soFarOnly };
  if (byHand) return { words: "The pump is large enough for the rise that was watched", standing: "open", soFarOnly };
  return { words: "The pump is large enough", standing: "good", soFarOnly };
}

/** What is still to be seen before the verdict holds for good; null where that is not the question. */
export function stillToSee({ seen }: Pick<SizingAnswer, "seen">): string | null {
  if (seen === null || seen.enough) return null;
  return seen.still_missing.length === 0 ? seen.message : `Still missing: ${seen.still_missing.join("; ")}.`;
}

/**
 * That it starts oftener than the motor is made for, as logged or as the sums have it; where it does not yet, that it would
 * at the required flow.
 *
 * @returns null where it does not, or where it is not known how often it may
 */
export function startsTooOften({ floats, measured }: Pick<SizingAnswer, "floats" | "measured">): string | null {
  const allowed = floats?.allowed_starts_per_hour ?? null;
  if (floats === null || allowed === null) return null;
  const logged = measured?.most_starts_in_an_hour ?? 0;
  const limit = `${figures(allowed)} are allowed.`;
  if (logged > allowed) return `It starts too often: ${logged} times in an hour as logged, ${limit}`;
  const tooOftenAt = (where: string) => {
    const often = startsInWords(floats.cycles.find(({ when }) => when === where)?.starts_per_hour ?? 0);
    return Number(often) > allowed ? `${often} times an hour ${where}, ${limit}` : null; // no "20 times, 20 are allowed"
  };
  const atPeak = tooOftenAt("at the measured peak");
  if (atPeak !== null) return `It starts too often: ${atPeak}`;
  const then = tooOftenAt("at the required flow");
  return then && `It would start too often: ${then}`;
}

/** Whole ones from ten up: an inflow is not known so well that a tenth of a start would be. */
export function startsInWords(perHour: number): string {
  return perHour >= 10 ? String(Math.round(perHour)) : String(Number(perHour.toPrecision(2)));
}
