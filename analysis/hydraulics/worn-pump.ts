// A pump that is no longer what its curve says, and a pipe that no longer has its bore: what both mean, as a curve and as a
// discharge that everything else takes like any other.

import type { DischargeSite, PipeSection } from "../site.ts";
import { pipeBore } from "./pipe-table.ts";
import type { PumpCurve } from "./pump-curve.ts";

/**
 * How a pump is worn, as what is left of it, 0 to 1:
 * - `flow`: at the same head it moves this share of the flow (water slips back through worn clearances);
 * - `head`: at the same flow it has this share of the head (the impeller has lost its edge);
 * - `speed`: it works as if it turned at this share of its speed, flow by the share, head by its square.
 */
export interface Wear {
  readonly of: "flow" | "head" | "speed";
  readonly left: number;
}

/**
 * The curve of a worn pump.
 *
 * @throws {RangeError} when what is left is not above 0, or is not a number
 * @see affinity laws, as in Technical Paper No. 410, for `speed`
 */
export function wornCurve(curve: PumpCurve, { of, left }: Wear): PumpCurve {
  if (!(left > 0 && left < Number.POSITIVE_INFINITY)) {
    throw new RangeError(`wornCurve: what is left of the ${of} is ${left}; it must be above 0`);
  }
  if (of === "flow") return scaledCurve(curve, left, 1);
  return of === "head" ? scaledCurve(curve, 1, left) : scaledCurve(curve, left, left ** 2);
}

/** What is worn, in words for the reader of a duty point. */
export function wearInWords({ of, left }: Wear): string {
  const percent = `${Number((100 * left).toPrecision(3))} %`;
  if (of === "flow") return `moves ${percent} of its flow at the same head`;
  return of === "head"
    ? `has ${percent} of its head at the same flow`
    : `works as if it turned at ${percent} of its speed`;
}

/**
 * The discharge with a share of its bore's area closed by deposit, evenly over every length; walls as rough as before.
 *
 * @param closedShare 0 or above, under 1
 * @throws {RangeError} on another share, or a pipe that is not in the table
 */
export function cloggedDischarge(discharge: DischargeSite, closedShare: number): DischargeSite {
  if (!(closedShare >= 0 && closedShare < 1)) {
    throw new RangeError(`cloggedDischarge: the closed share is ${closedShare}; it must be from 0 to under 1`);
  }
  const narrower = Math.sqrt(1 - closedShare);
  const clog = ({ pipe, fittings }: PipeSection): PipeSection => ({
    pipe: { ...pipe, insideDiameter_m: pipeBore(pipe).insideDiameter_m * narrower },
    fittings: fittings.map((fitting) =>
      fitting.otherBore_m == null ? fitting : { ...fitting, otherBore_m: fitting.otherBore_m * narrower },
    ),
  });
  const [first, second] = discharge.risers ?? [];
  return {
    ...discharge,
    ...clog(discharge),
    ...(discharge.further && { further: discharge.further.map(clog) }),
    ...(discharge.risers && { risers: [first ? clog(first) : null, second ? clog(second) : null] as const }),
  };
}

function scaledCurve(curve: PumpCurve, flows: number, heads: number): PumpCurve {
  const { minimumFlow_m3s: least, maximumFlow_m3s: most } = curve;
  const head_m = (flow_m3s: number) => {
    if (!(flow_m3s >= least * flows && flow_m3s <= most * flows)) return null;
    const own_m = curve.head_m(Math.min(most, Math.max(least, flow_m3s / flows)));
    return own_m === null ? null : own_m * heads;
  };
  return {
    head_m,
    shutOffHead_m: curve.shutOffHead_m === null ? null : curve.shutOffHead_m * heads,
    minimumFlow_m3s: curve.minimumFlow_m3s * flows,
    maximumFlow_m3s: curve.maximumFlow_m3s * flows,
  };
}
