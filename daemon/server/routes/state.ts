// GET /api/state: what is true now.

import type { LiveState } from "../api-types.ts";
import type { Server, ServerParts } from "../server-parts.ts";

export function addStateRoute(server: Server, parts: ServerParts): void {
  server.get("/api/state", async (_request, reply): Promise<LiveState> => {
    reply.header("cache-control", "no-store");
    return parts.state();
  });
}
