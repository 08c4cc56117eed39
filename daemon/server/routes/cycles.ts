// GET /api/cycles: the pump's cycles, newest first.

import * as z from "zod";
import type { CyclesAnswer } from "../api-types.ts";
import type { Server, ServerParts } from "../server-parts.ts";
import { countInQuery, spanShape, wholeRecord } from "../span-query.ts";

export const cyclesQuery = z.strictObject({
  ...spanShape,
  limit: countInQuery("at most so many, the newest", 10_000, 500),
});

export function addCyclesRoute(server: Server, { record }: ServerParts): void {
  const schema = { querystring: cyclesQuery };
  server.get("/api/cycles", { schema }, async ({ query }, reply): Promise<CyclesAnswer> => {
    reply.header("cache-control", "no-store");
    return { cycles: await record.cycles(wholeRecord(query, await record.span()), query.limit) };
  });
}
