// Why a pump moves less than it did: what the course of the loss, its size, the cold and the beginnings of runs point to.
// A pointer for whoever goes and looks, no proof.

export type LossCause = "blocked" | "part-closed" | "frozen" | "air-bound" | "worn";

/** Near the freezing point, within what a cheap sensor may be off. */
export const frost_c = 1;
/** What a valve left half open or a hose half squeezed still lets through; common practice, no source. */
export const partOpen = 0.55;
/** Runs that agree with one another to this share are steady. */
export const steady = 0.1;

export interface LossClues {
  readonly course: "sudden" | "slow";
  /** What is left: now / before. */
  readonly share: number;
  /** Of the latest runs, (highest − lowest) / highest; null before there are any. */
  readonly spread: number | null;
  readonly startsLate: boolean;
  readonly temperature_c: number | null;
}

export function lossCause({ course, share, spread, startsLate, temperature_c }: LossClues): LossCause {
  if (startsLate) return "air-bound";
  if (course === "slow") return "worn";
  if (temperature_c !== null && temperature_c <= frost_c) return "frozen";
  return share >= partOpen && spread !== null && spread <= steady ? "part-closed" : "blocked";
}

const advice: Record<LossCause, string> = {
  blocked:
    "The pump runs but moves far less water than it did. Look outside whether water leaves the discharge; free it of ice, mud or debris, check the valves, and listen for a pump that sucks air. Unplug the pump before you open anything, and plug it in again.",
  "part-closed":
    "The pump moves less than it did, all at once and steadily since. Look for a valve that is not fully open, a squeezed hose, or something lodged in the check valve, the intake or the impeller. Unplug the pump before you open anything, and plug it in again.",
  frozen:
    "The pump runs but moves far less water than it did, and it is freezing. Look for ice at the outlet and along pipes that run outdoors, and lead the water away by another pipe meanwhile. Do not thaw pipes with a flame; unplug the pump before you open anything, and plug it in again.",
  "air-bound":
    "The pump moves little at first and then comes up by itself: air is caught in it. See that the small relief hole below the check valve is open and that the pump stands under water when it stops. Unplug the pump before you open anything, and plug it in again.",
  worn: "The pump moves less than in its best days. Clean the intake and the pit, with the pump unplugged, at the next service, plug it in again and measure with a bucket; if it does not recover, plan a new pump before the wet season.",
};

export function lossAdvice(cause: unknown): string {
  return advice[isCause(cause) ? cause : "blocked"];
}

function isCause(cause: unknown): cause is LossCause {
  return typeof cause === "string" && cause in advice;
}
