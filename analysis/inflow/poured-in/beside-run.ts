// Water that runs in beside a short run: a tap, a machine that drains. Where it ends before the run does the water falls slowly
// at first and then as it always does, and no rest shows any of it; where it ends after it, the rest that follows shows it.

import type { FlowEstimate } from "../../cycles/cycle.ts";
import type { EndedRun, RestSummary } from "../../cycles/ended-run.ts";
import { minus, plus } from "../../cycles/flow-arithmetic.ts";
import { longRun_s } from "../../cycles/run-lengths.ts";
import { lateFrom_s } from "../../pump-flow/pump-history.ts";

/** A pump is known so well, as a share, and so far from that a fall must stay, in standard uncertainties of both. */
const known = 0.05;
const clearly = 4;
/** Of what the pump usually moves, some and not all of it at first. */
const movesSome = 0.25;
const another = 0.75;
/** An even fall that grows in the end looks as if it began somewhat late. Judgement, no source. */
const mostLate = 1.5;
/** In its last seconds it moves that again. */
const sound = 0.85;

/**
 * Mean inflow over the run; null where it fell evenly, or as a pump makes it that comes up late.
 *
 * @param ended of a pump that is known to start at once
 * @param after the rest that follows; null as long as that is not known
 * @param usual what the pump moves there; null: not known
 */
export function inflowBeside(
  ended: EndedRun,
  after: RestSummary | null,
  usual: FlowEstimate | null,
): FlowEstimate | null {
  const { cycle, before, whole, atFirst = null, shortsLast = null, lateStart_s } = ended;
  if (cycle.run_s > longRun_s || usual === null || usual.uFlow_m3s > known * usual.flow_m3s) return null;
  // A pump that comes up late moves nothing at first, and then all at once.
  if (lateStart_s === null || lateStart_s >= mostLate * lateFrom_s) return null;
  const rests = before?.last?.inflow ?? null;
  const first = plus(atFirst?.fall ?? null, rests);
  const last = plus(shortsLast, after?.first?.inflow ?? rests);
  if (first === null || last === null) return null;
  const share = first.flow_m3s / usual.flow_m3s;
  if (!(share > movesSome && share < another && last.flow_m3s > sound * usual.flow_m3s)) return null;
  const isOther = isClear(usual.flow_m3s - first.flow_m3s, first, usual);
  return isOther && isClear(last.flow_m3s - first.flow_m3s, first, last) ? minus(usual, whole) : null;
}

function isClear(difference_m3s: number, a: FlowEstimate, b: FlowEstimate): boolean {
  return difference_m3s > clearly * Math.hypot(a.uFlow_m3s, b.uFlow_m3s);
}
