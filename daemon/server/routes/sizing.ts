// GET /api/sizing: what was measured so far, as sizing reckons with it. The reckoning itself is done in the page, so that
// what is tried out there costs the board nothing.

import type { Cycle } from "../../../analysis/cycles/cycle.ts";
import type { SizingInputs } from "../api-types.ts";
import type { Server, ServerParts } from "../server-parts.ts";
import { noQuery } from "../span-query.ts";

/** A month of an ordinary basin whole; of a longer record stretches are joined. */
const mostStretches = 20_000;
/** What the motor draws of late. */
const lastCycles = 200;

export function addSizingRoute(server: Server, { store, summary }: ServerParts): void {
  server.get("/api/sizing", { schema: { querystring: noQuery } }, async (_request, reply): Promise<SizingInputs> => {
    reply.header("cache-control", "no-store");
    const span = store.span();
    return {
      summary: summary(),
      inflow: span === null ? [] : store.inflow(span, mostStretches),
      runningPower_w: span === null ? null : meanPower_w(store.cycles(span, lastCycles)),
    };
  });
}

/** Over the time that the pump ran; null where its power was not read. */
function meanPower_w(cycles: readonly Cycle[]): number | null {
  let run_s = 0;
  let energy_j = 0;
  for (const cycle of cycles) {
    if (!cycle.runningPower) continue;
    run_s += cycle.run_s;
    energy_j += cycle.runningPower.mean * cycle.run_s;
  }
  return run_s > 0 ? energy_j / run_s : null;
}
