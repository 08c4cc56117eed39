// The uncertainty budget of a figure: what its standard uncertainty is made of, source by source. Plain data, made on
// demand from the figure itself; where the parts come from is shared-errors.ts and the estimates.

import type { FlowEstimate } from "../cycles/cycle.ts";
import { studentTQuantile } from "../statistics/student-t.ts";
import { type OtherParts, type UncertaintySource, uncertaintySources } from "./parts.ts";

export interface BudgetLine {
  readonly source: UncertaintySource;
  /** A: from the scatter of the readings themselves; B: stated in the site file, or assumed (GUM 4.2, 4.3). */
  readonly type: "A" | "B";
  /** What it adds to the standard uncertainty of the figure, in the figure's unit: sensitivity times u(input). */
  readonly u: number;
  readonly degreesOfFreedom: number;
  /** Half-width of its own 95 % interval, as if it were the only source. */
  readonly u95: number;
  /** The same error in every cycle: it does not average away in a mean, a peak or a total. */
  readonly shared: boolean;
}

export interface Budget {
  readonly value: number;
  /** Combined standard uncertainty. */
  readonly u: number;
  readonly degreesOfFreedom: number;
  /** Factor from u to the half-width of the interval that covers the true value with 95 % probability. */
  readonly coverageFactor: number;
  readonly u95: number;
  readonly lines: readonly BudgetLine[];
}

/** What a flow's uncertainty is made of; what is none of its other parts is the sensor's noise. */
export function flowBudget({ flow_m3s, uFlow_m3s, degreesOfFreedom, parts = {} }: FlowEstimate): Budget {
  return budgetOf(flow_m3s, uFlow_m3s, degreesOfFreedom, parts);
}

/**
 * @param u                of the figure, all its parts joined
 * @param degreesOfFreedom of `u`; only the noise has finitely many
 * @param others           the parts that are not noise, in the unit of `u`
 */
export function budgetOf(value: number, u: number, degreesOfFreedom: number, others: OtherParts): Budget {
  const known = Object.values(others).reduce((sum, part) => sum + part ** 2, 0);
  const noise = u ** 2 - known > noNoise * u ** 2 ? Math.sqrt(u ** 2 - known) : 0;
  const lines = uncertaintySources.flatMap((source): BudgetLine[] => {
    const part = source === "sensor-noise" ? noise : (others[source] ?? 0);
    if (!(part > 0)) return [];
    const isNoise = source === "sensor-noise";
    // The others have infinitely many, so that those of the whole are the noise's over the fourth power of its share.
    const itsFreedom = isNoise ? degreesOfFreedom * (part / u) ** 4 : Number.POSITIVE_INFINITY;
    return [
      {
        source,
        type: isNoise ? "A" : "B",
        u: part,
        degreesOfFreedom: itsFreedom,
        u95: coverage(itsFreedom) * part,
        shared: isShared[source],
      },
    ];
  });
  const coverageFactor = coverage(degreesOfFreedom);
  return { value, u, degreesOfFreedom, coverageFactor, u95: u === 0 ? 0 : coverageFactor * u, lines };
}

function coverage(degreesOfFreedom: number): number {
  return degreesOfFreedom > 0 ? studentTQuantile(0.975, degreesOfFreedom) : Number.POSITIVE_INFINITY;
}

/** What is left when all parts are taken off is a rounding error, not noise, when it is this small a share of u². */
const noNoise = 1e-12;

const isShared: Readonly<Record<UncertaintySource, boolean>> = {
  "sensor-noise": false,
  calibration: true,
  geometry: true,
  "float-repeatability": false,
  timing: false,
  "returned-water": true,
};
