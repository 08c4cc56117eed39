// GET /basins/<name>/…: the page of one basin and its API, as on its board. To whoever may not see a basin it does not
// exist.

import type { FastifyReply, FastifyRequest } from "fastify";
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
    return reply.redirect(`/basins/${encodeURIComponent(params.parse(request.params).basin)}/`, 302);
  });

  server.get("/basins/:basin/*", async (request, reply) => {
    const name = params.parse(request.params).basin;
    const below = request.url.slice(request.url.indexOf("/", "/basins/".length));
    const isPage = /^\/(\?|$)/.test(below);
    if (isPage && access.centralFile.logins.length > 0 && access.login(request) === null) {
      return reply.redirect("/", 302);
    }
    const seer = access.seer(request); // first, for whoever is not logged in learns no name either
    const basin = basins.get(name);
    if (basin === undefined || !maySee(seer, basin)) {
      throw new BadRequest(`basin: expected the name of one that you may see, found ${JSON.stringify(name)}`, 404);
    }
    const its = await drillDown.serverOf(basin);
    request.raw.url = below;
    reply.hijack();
    endWithLogIn(request, reply, access);
    its.routing(request.raw, reply.raw);
    return reply;
  });
}

/** What is heard as it happens goes on for hours: it ends when the log-in does. */
function endWithLogIn(request: FastifyRequest, { raw }: FastifyReply, access: Access): void {
  const left_s = access.left_s(request);
  if (left_s === null) return;
  const end = setTimeout(() => raw.destroy(), 1000 * left_s).unref();
  raw.once("close", () => clearTimeout(end));
}
