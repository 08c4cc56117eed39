// GET /api/inflow: what ran into the basin over time.

import * as z from "zod";
import type { InflowAnswer } from "../api-types.ts";
import type { Server, ServerParts } from "../server-parts.ts";
import { countInQuery, lastDay, spanShape } from "../span-query.ts";

export const inflowQuery = z.strictObject({
  ...spanShape,
  points: countInQuery("at most about so many stretches", 20_000, 1000),
});

export function addInflowRoute(server: Server, { record }: ServerParts): void {
  const schema = { querystring: inflowQuery };
  server.get("/api/inflow", { schema }, async ({ query }, reply): Promise<InflowAnswer> => {
    reply.header("cache-control", "no-store");
    return { stretches: await record.inflow(lastDay(query, await record.span()), query.points) };
  });
}
