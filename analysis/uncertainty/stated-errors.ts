// Puts what the site file states of the basin and its instruments into the uncertainty of what leaves the analysis: cycles,
// stretches of inflow, the figures of the moment. Inside, where a pump is held against its own past, it cancels.

import type { Cycle, FlowEstimate, InflowMethod } from "../cycles/cycle.ts";
import type { BasinGeometry } from "../geometry/basin.ts";
import type { Site } from "../site.ts";
import { type BudgetInput, budgetInputs } from "./budget-inputs.ts";
import {
  assumedOfFloats,
  type Between,
  type SharedErrors,
  sharedErrors,
  withShared,
  withSpanOff,
} from "./shared-errors.ts";

export interface StatedErrors {
  /** Of a figure of one rest or run, between start and stop level as given, by a sensor whose span is off by a share. */
  ofOne(method: InflowMethod, spanOff: number): SharedErrors;
  /** Of a figure over many. */
  ofMany(method: InflowMethod, spanOff: number): SharedErrors;
  /** The cycle with these errors in its flows; itself where nothing is stated or off. */
  inCycle(cycle: Cycle, byLevel: boolean, spanOff: number): Cycle;
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
    ofOne: (method, spanOff) => offBy(one[method], method, spanOff),
    ofMany: (method, spanOff) => offBy(many[method], method, spanOff),
    inputs: (method, learnedFloat_m) => budgetInputs(site, geometry, method, learnedFloat_m),
    inCycle(cycle, byLevel, spanOff) {
      if (nothing && spanOff === 0) return cycle;
      const levels = { low_m: cycle.stopLevel_m, high_m: cycle.startLevel_m };
      const shared = (method: InflowMethod) => offBy(between(method, levels), method, spanOff);
      return {
        ...cycle,
        inflow: cycle.inflow && withShared(cycle.inflow, shared(cycle.inflow.method)),
        pumpRate: cycle.pumpRate && withShared(cycle.pumpRate, shared(methodOf(byLevel))),
      };
    },
  };
}

/** What the floats tell stands on no level. */
function offBy(shared: SharedErrors, method: InflowMethod, spanOff: number): SharedErrors {
  return method === "fill-slope" ? withSpanOff(shared, spanOff) : shared;
}

export function methodOf(byLevel: boolean): InflowMethod {
  return byLevel ? "fill-slope" : "active-volume";
}

/** Null stays null. */
export function orNull(estimate: FlowEstimate | null, shared: SharedErrors): FlowEstimate | null {
  return estimate && withShared(estimate, shared);
}
