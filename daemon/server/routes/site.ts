// GET /api/site: what does not change while the daemon runs.

import type { SiteInfo } from "../api-types.ts";
import type { Server, ServerParts } from "../server-parts.ts";
import { noQuery } from "../span-query.ts";

export function addSiteRoute(server: Server, { siteInfo }: ServerParts): void {
  server.get("/api/site", { schema: { querystring: noQuery } }, async (): Promise<SiteInfo> => siteInfo);
}
