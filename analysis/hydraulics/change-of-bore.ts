// What the water loses where the bore changes, as a coefficient on the velocity head in the narrower of the two.

/**
 * Loss coefficient of a sudden change of bore; a tapered one loses less. With b the share of the wider area that the
 * narrower one is: widening (1 − b)², narrowing (1 − b)/2.
 *
 * @param from_m inside diameter that the water comes from
 * @param to_m   inside diameter that it goes on in
 * @returns K on the velocity head in the narrower bore
 * @see Borda and Carnot for the widening; Technical Paper No. 410 for the narrowing, from memory
 */
export function changeOfBore(from_m: number, to_m: number): { readonly k: number; readonly source: string } {
  const share = (Math.min(from_m, to_m) / Math.max(from_m, to_m)) ** 2;
  return from_m < to_m
    ? { k: (1 - share) ** 2, source: "Borda–Carnot, (1 − d²/D²)²" }
    : { k: 0.5 * (1 - share), source: "Technical Paper No. 410 (from memory), sudden, 0.5·(1 − d²/D²)" };
}

/** A coefficient on the velocity head of one bore, as it counts on that of another with the same flow. */
export function onBore(k: number, of_m: number, on_m: number): number {
  return k * (on_m / of_m) ** 4;
}
