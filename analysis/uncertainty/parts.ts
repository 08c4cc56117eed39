// Where the uncertainty of a figure comes from, and the parts of it that are carried beside the figure. The sensor's noise
// is what is left of the whole; the table made of them is budget.ts.

/** In the order in which a budget lists them. */
export const otherSources = ["calibration", "geometry", "float-repeatability", "timing", "returned-water"] as const;
export const uncertaintySources = ["sensor-noise", ...otherSources] as const;
export type UncertaintySource = (typeof uncertaintySources)[number];

type OtherSource = (typeof otherSources)[number];

/** The parts of a figure's uncertainty that do not come from the sensor's noise: standard uncertainties in its unit. */
export type OtherParts = Readonly<Partial<Record<OtherSource, number>>>;

/**
 * Parts of a weighted sum of figures whose errors are independent.
 *
 * @param all     parts of each figure; undefined when all of its uncertainty is noise
 * @param weights of each figure in the sum; null: 1
 * @returns undefined when none of them has any
 */
export function joinParts(
  all: readonly (OtherParts | undefined)[],
  weights: readonly number[] | null = null,
): OtherParts | undefined {
  let joined: Partial<Record<OtherSource, number>> | undefined;
  for (let i = 0; i < all.length; i += 1) {
    const parts = all[i];
    if (parts === undefined) continue;
    for (const source of otherSources) {
      const part = (parts[source] ?? 0) * (weights === null ? 1 : (weights[i] ?? 0));
      if (part === 0) continue;
      joined ??= {};
      joined[source] = Math.hypot(joined[source] ?? 0, part);
    }
  }
  return joined;
}
