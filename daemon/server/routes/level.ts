// GET /api/level: the level over time, in as many buckets as a chart has pixels.

import * as z from "zod";
import type { LevelAnswer } from "../api-types.ts";
import type { Server, ServerParts } from "../server-parts.ts";
import { countInQuery, lastDay, spanShape } from "../span-query.ts";

export const levelQuery = z.strictObject({
  ...spanShape,
  points: countInQuery("at most about so many points", 20_000, 1000),
});

export function addLevelRoute(server: Server, { record }: ServerParts): void {
  server.get("/api/level", { schema: { querystring: levelQuery } }, async ({ query }, reply): Promise<LevelAnswer> => {
    reply.header("cache-control", "no-store");
    return record.level(lastDay(query, await record.span()), query.points);
  });
}
