// GET /api/rain: the rain that was logged, in stretches. By itself, and not with what sizing reckons with, for the first
// time it takes a while.

import type { RainAnswer } from "../api-types.ts";
import type { Server, ServerParts } from "../server-parts.ts";
import { noQuery } from "../span-query.ts";

/** The newest: of five wet minutes each, years of an ordinary gauge. */
const mostStretches = 20_000;

export function addRainRoute(server: Server, { record }: ServerParts): void {
  server.get("/api/rain", { schema: { querystring: noQuery } }, async (_request, reply): Promise<RainAnswer> => {
    reply.header("cache-control", "no-store");
    return { stretches: (await record.rain())?.slice(-mostStretches) ?? null };
  });
}
