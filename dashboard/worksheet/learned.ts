// What the record teaches of the installation, for sizing and for running its storm again: worked out in the page from the
// stored inflow and the last cycles. Pure.

import type { Site } from "../../analysis/site.ts";
import { inflowPerLevel } from "../../analysis/sizing/inflow-per-level.ts";
import type { LoggedRecord } from "../../analysis/sizing/request.ts";
import { listenToRecording } from "../../analysis/whatif/learn-recorded.ts";
import type { KnownInstallation } from "../../analysis/whatif/plan.ts";
import type { SizingInputs } from "../../daemon/server/api-types.ts";

export interface Learned {
  readonly logged: LoggedRecord;
  readonly known: KnownInstallation;
}

/**
 * @param rain null: not known
 * @param site as the daemon has it, which is what was measured
 */
export function learnFrom({ summary, inflow, cycles }: SizingInputs, rain: LoggedRecord["rain"], site: Site): Learned {
  const listener = listenToRecording(site);
  const perLevel = inflowPerLevel();
  let next = 0;
  for (const cycle of cycles) {
    for (; next < inflow.length; next++) {
      const stretch = inflow[next];
      if (stretch === undefined || stretch.to_s > cycle.stoppedAt_s) break;
      perLevel.inflow(stretch);
    }
    perLevel.cycle(cycle);
    listener.sink.cycle?.(cycle, "settled");
  }
  const known = listener.known(summary);
  const logged = { summary, inflow, rain, runningPower_w: known.power_w, inflowPerLevel: perLevel.result() };
  return { logged, known };
}

/**
 * The record for another pump or pipe than the one that made it: what came in stays, what was moved is not of this one.
 *
 * @param tried what is reckoned for
 */
export function recordFor(logged: LoggedRecord, measured: Site, tried: Site): LoggedRecord {
  const same = (one: unknown, other: unknown) => JSON.stringify(one) === JSON.stringify(other);
  if (same(measured.pump?.curve, tried.pump?.curve) && same(measured.discharge, tried.discharge)) return logged;
  const { firm_capacity_lpm: _firm, both_capacity_lpm: _both, ...sizing } = logged.summary.sizing;
  const { pump: _moved, ...rest } = logged.summary;
  const summary = { ...rest, sizing: { ...sizing, margin: null } };
  return { ...logged, summary, pumpRate: null, runningPower_w: null };
}
