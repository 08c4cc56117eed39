// Puts what the site file states of the basin and its instruments into the uncertainty of what leaves the analysis: cycles,
// stretches of inflow, the figures of the moment. Inside, where a pump is held against its own past, it cancels.

import type { Cycle, FlowEstimate, InflowMethod } from "../cycles/cycle.ts";
import type { BasinGeometry } from "../geometry/basin.ts";
import type { Site } from "../site.ts";
import { type BudgetInput, budgetInputs } from "./budget-inputs.ts";
import { noSharedErrors, type SharedErrors, sharedErrors, withShared } from "./shared-errors.ts";

export interface StatedErrors {
  /** Of a figure over many cycles: between start and stop level as given. */
  of(method: InflowMethod): SharedErrors;
  /** The cycle with the stated errors in its flows; itself where nothing is stated. */
  inCycle(cycle: Cycle, byLevel: boolean): Cycle;
  /** What is stated, assumed or learned of the inputs. */
  inputs(method: InflowMethod, learnedFloat_m: number | null): BudgetInput[];
}

export function statedErrors(site: Site, geometry: BasinGeometry): StatedErrors {
  const inputs: StatedErrors["inputs"] = (method, learnedFloat_m) =>
    budgetInputs(site, geometry, method, learnedFloat_m);
  if (site.measurement == null && site.basin.activeVolume == null) {
    return { of: () => noSharedErrors, inCycle: (cycle) => cycle, inputs };
  }
  const usual = { low_m: null, high_m: null };
  const over = {
    "fill-slope": sharedErrors(site, geometry, "fill-slope", usual),
    "active-volume": sharedErrors(site, geometry, "active-volume", usual),
  };
  return {
    inputs,
    of: (method) => over[method],
    inCycle(cycle, byLevel) {
      const levels = { low_m: cycle.stopLevel_m, high_m: cycle.startLevel_m };
      const at = (method: InflowMethod) => sharedErrors(site, geometry, method, levels);
      return {
        ...cycle,
        inflow: cycle.inflow && withShared(cycle.inflow, at(cycle.inflow.method)),
        pumpRate: cycle.pumpRate && withShared(cycle.pumpRate, at(methodOf(byLevel))),
      };
    },
  };
}

export function methodOf(byLevel: boolean): InflowMethod {
  return byLevel ? "fill-slope" : "active-volume";
}

/** Null stays null. */
export function orNull(estimate: FlowEstimate | null, shared: SharedErrors): FlowEstimate | null {
  return estimate && withShared(estimate, shared);
}
