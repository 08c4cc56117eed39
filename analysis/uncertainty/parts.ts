// Where the uncertainty of a figure comes from, and the parts of it that are carried beside the figure. The sensor's noise
// is what is left of the whole; the table made of them is budget.ts.

/** In the order in which a budget lists them. */
export const uncertaintySources = ["sensor-noise", "calibration", "geometry", "float-repeatability", "timing"] as const;
export type UncertaintySource = (typeof uncertaintySources)[number];

export const otherSources = ["calibration", "geometry", "float-repeatability", "timing"] as const;
type OtherSource = (typeof otherSources)[number];

/** The parts of a figure's uncertainty that do not come from the sensor's noise: standard uncertainties in its unit. */
export type OtherParts = Readonly<Partial<Record<OtherSource, number>>>;

/**
 * Parts of a weighted sum of figures whose errors are independent.
 *
 * @param all     parts of each figure; undefined when all of its uncertainty is noise
 * @param weights of each figure in the sum, by default 1
 * @returns undefined when none of them has any
 */
export function joinParts(
  all: readonly (OtherParts | undefined)[],
  weights: readonly number[] = all.map(() => 1),
): OtherParts | undefined {
  const joined: Partial<Record<OtherSource, number>> = {};
  for (const [i, parts] of all.entries()) {
    for (const source of otherSources) {
      const part = (parts?.[source] ?? 0) * (weights[i] ?? 0);
      if (part !== 0) joined[source] = Math.hypot(joined[source] ?? 0, part);
    }
  }
  return Object.keys(joined).length === 0 ? undefined : joined;
}
