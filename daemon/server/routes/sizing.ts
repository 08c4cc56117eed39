// GET /api/sizing: what was measured so far, as sizing reckons with it. The reckoning itself is done in the page, so that
// what is tried out there costs the board nothing.

import type { SizingInputs } from "../api-types.ts";
import type { Server, ServerParts } from "../server-parts.ts";
import { noQuery } from "../span-query.ts";

/** A month of an ordinary basin whole; of a longer record stretches are joined. */
const mostStretches = 20_000;
/** Enough to learn from what the pump moves, draws and lets run back. */
const lastCycles = 1000;

export function addSizingRoute(server: Server, { record, summary }: ServerParts): void {
  server.get("/api/sizing", { schema: { querystring: noQuery } }, async (_request, reply): Promise<SizingInputs> => {
    reply.header("cache-control", "no-store");
    const span = await record.span();
    return {
      summary: summary(),
      inflow: span === null ? [] : await record.inflow(span, mostStretches),
      cycles: span === null ? [] : (await record.cycles(span, lastCycles)).reverse(),
    };
  });
}
