// Puts what the site file states of the basin and its instruments into the uncertainty of what leaves the analysis: cycles,
// stretches of inflow, the figures of the moment. Inside, where a pump is held against its own past, it cancels.

import type { Cycle, FlowEstimate, InflowMethod } from "../cycles/cycle.ts";
import type { BasinGeometry } from "../geometry/basin.ts";
import type { Site } from "../site.ts";
import { type BudgetInput, budgetInputs } from "./budget-inputs.ts";
import { assumedOfFloats, type Between, type SharedErrors, sharedErrors, withShared } from "./shared-errors.ts";

export interface StatedErrors {
  /** Of a figure of one rest or run, between start and stop level as given. */
  ofOne(method: InflowMethod): SharedErrors;
  /** Of a figure over many. */
  ofMany(method: InflowMethod): SharedErrors;
  /** The cycle with the stated errors in its flows; itself where nothing is stated. */
  inCycle(cycle: Cycle, byLevel: boolean): Cycle;
  /** What is stated, assumed or learned of the inputs. */
  inputs(method: InflowMethod, learnedFloat_m: number | null): BudgetInput[];
}

export function statedErrors(site: Site, geometry: BasinGeometry): StatedErrors {
  const nothing = site.measurement == null && site.basin.activeVolume == null;
  const between = (method: InflowMethod, levels: Between) => sharedErrors(site, geometry, method, levels);
  const asGiven = { low_m: null, high_m: null };
  const one = {
    "fill-slope": between("fill-slope", asGiven),
    "active-volume": between("active-volume", asGiven),
  };
  const many = {
    "fill-slope": one["fill-slope"],
    "active-volume": { ...one["active-volume"], floats: assumedOfFloats(site, geometry) },
  };
  return {
    ofOne: (method) => one[method],
    ofMany: (method) => many[method],
    inputs: (method, learnedFloat_m) => budgetInputs(site, geometry, method, learnedFloat_m),
    inCycle(cycle, byLevel) {
      if (nothing) return cycle;
      const levels = { low_m: cycle.stopLevel_m, high_m: cycle.startLevel_m };
      return {
        ...cycle,
        inflow: cycle.inflow && withShared(cycle.inflow, between(cycle.inflow.method, levels)),
        pumpRate: cycle.pumpRate && withShared(cycle.pumpRate, between(methodOf(byLevel), levels)),
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
