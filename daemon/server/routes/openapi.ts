// GET /api/openapi.json: the API's own description. Made when it is first asked for; most boards never are.

import type { Server, ServerParts } from "../server-parts.ts";
import { noQuery } from "../span-query.ts";

export function addOpenApiRoute(server: Server, { siteInfo }: ServerParts): void {
  let text: string | null = null;
  server.get("/api/openapi.json", { schema: { querystring: noQuery } }, async (_request, reply) => {
    if (text === null) {
      const { openApiDocument } = await import("../openapi/openapi-document.ts");
      text = JSON.stringify(openApiDocument(siteInfo.version));
    }
    return reply.type("application/json; charset=utf-8").send(text);
  });
}
