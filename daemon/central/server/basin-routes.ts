// GET /basins/<name>/…: the page of one basin and its API, as on its board. To whoever may not see a basin it does not
// exist.

import * as z from "zod";
import type { Server } from "../../server/server-parts.ts";
import { BadRequest } from "../../server/validate-request.ts";
import type { Basins } from "../basins.ts";
import type { DrillDown } from "../drill-down.ts";
import { maySee } from "../overview.ts";
import type { Access } from "./access.ts";

const params = z.object({ basin: z.string() });

export function addBasinRoutes(server: Server, access: Access, basins: Basins, drillDown: DrillDown): void {
  server.get("/basins/:basin", async (request, reply) => {
    return reply.redirect(`/basins/${params.parse(request.params).basin}/`, 302);
  });

  server.get("/basins/:basin/*", async (request, reply) => {
    const name = params.parse(request.params).basin;
    const below = request.url.slice(`/basins/${name}`.length);
    const isPage = /^\/(\?|$)/.test(below);
    if (isPage && access.centralFile.logins.length > 0 && access.login(request) === null) {
      return reply.redirect("/", 302);
    }
    const basin = basins.get(name);
    if (basin === undefined || !maySee(access.seer(request), basin)) {
      throw new BadRequest(`basin: expected the name of one that you may see, found ${JSON.stringify(name)}`, 404);
    }
    const its = await drillDown.serverOf(basin);
    request.raw.url = below;
    reply.hijack();
    its.routing(request.raw, reply.raw);
    return reply;
  });
}
