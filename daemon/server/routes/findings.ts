// GET /api/findings: what a person should know, newest first.

import * as z from "zod";
import type { FindingsAnswer } from "../api-types.ts";
import type { Server, ServerParts } from "../server-parts.ts";
import { countInQuery, spanShape, wholeRecord } from "../span-query.ts";

export const findingsQuery = z.strictObject({
  ...spanShape,
  limit: countInQuery("at most so many, the newest", 10_000, 500),
});

export function addFindingsRoute(server: Server, { record }: ServerParts): void {
  const schema = { querystring: findingsQuery };
  server.get("/api/findings", { schema }, async ({ query }, reply): Promise<FindingsAnswer> => {
    reply.header("cache-control", "no-store");
    return { findings: await record.findings(wholeRecord(query, await record.span()), query.limit) };
  });
}
