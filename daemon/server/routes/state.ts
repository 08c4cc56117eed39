// GET /api/state: what is true now.

import type { LiveState } from "../api-types.ts";
import type { Server, ServerParts } from "../server-parts.ts";
import { noQuery } from "../span-query.ts";

export function addStateRoute(server: Server, parts: ServerParts): void {
  server.get("/api/state", { schema: { querystring: noQuery } }, async (_request, reply): Promise<LiveState> => {
    reply.header("cache-control", "no-store");
    return parts.state();
  });
}
