// GET /api/overview and GET /api/overview/events: every basin that the one who asks may see.

import type { Server } from "../../server/server-parts.ts";
import { noQuery } from "../../server/span-query.ts";
import { BadRequest } from "../../server/validate-request.ts";
import type { OverviewAnswer } from "../central-types.ts";
import type { Overview } from "../overview.ts";
import type { OverviewFeed } from "../overview-feed.ts";
import type { Access } from "./access.ts";

export function addOverviewRoutes(server: Server, access: Access, overview: Overview, feed: OverviewFeed): void {
  const schema = { querystring: noQuery };

  server.get("/api/overview", { schema }, async (request, reply): Promise<OverviewAnswer> => {
    reply.header("cache-control", "no-store");
    return overview.whole(access.seer(request));
  });

  server.get("/api/overview/events", { schema, exposeHeadRoute: false }, (request, reply) => {
    const seer = access.seer(request);
    const headers: Record<string, string | number> = {};
    for (const [name, value] of Object.entries(reply.getHeaders())) {
      if (typeof value === "string" || typeof value === "number") headers[name] = value;
    }
    const listener = {
      seer,
      packed: String(request.headers["accept-encoding"] ?? "").includes("gzip"),
      stillMay: () => access.centralFile.logins.length === 0 || access.login(request) !== null,
    };
    if (!feed.attach(reply.raw, headers, listener)) {
      throw new BadRequest("events: as many pages listen as can be served; close one of them", 503);
    }
    reply.hijack();
  });
}
