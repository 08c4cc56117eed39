// GET /basins/<name>/…: the page of one basin and its API, as on its board. To whoever may not see a basin it does not
// exist.

import type { FastifyReply, FastifyRequest } from "fastify";
import * as z from "zod";
import { alarmNames } from "../../../analysis/alarms/alarm.ts";
import { acknowledgementText, acknowledgeTopic } from "../../publishers/acknowledgement.ts";
import type { Server } from "../../server/server-parts.ts";
import { BadRequest } from "../../server/validate-request.ts";
import type { Basin, Basins } from "../basins.ts";
import type { BrokerEar } from "../broker-ear.ts";
import type { AcknowledgeAnswer } from "../central-types.ts";
import type { DrillDown } from "../drill-down.ts";
import { maySee } from "../overview.ts";
import type { Access } from "./access.ts";

const params = z.object({ basin: z.string() });

const acknowledgeBody = z.strictObject({
  alarm: z.enum(alarmNames),
  from_s: z.number().describe("when it began, as the overview tells it"),
});

export interface BasinRoutesParts {
  readonly access: Access;
  readonly basins: Basins;
  readonly drillDown: DrillDown;
  readonly ear: Pick<BrokerEar, "tell">;
}

export function addBasinRoutes(server: Server, { access, basins, drillDown, ear }: BasinRoutesParts): void {
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
    const basin = seen(request, name);
    const its = await drillDown.serverOf(basin);
    request.raw.url = below;
    reply.hijack();
    endWithLogIn(request, reply, access);
    its.routing(request.raw, reply.raw);
    return reply;
  });

  const schema = { body: acknowledgeBody };
  server.post(
    "/basins/:basin/api/alarms/acknowledge",
    { schema },
    async (request, reply): Promise<AcknowledgeAnswer> => {
      const basin = seen(request, params.parse(request.params).basin);
      if (access.seer(request) !== null) throw new BadRequest("alarms: staff alone answer them from here", 403);
      if (basin.heard.alarms?.acknowledge !== true) {
        throw new BadRequest(
          `alarms: the board of ${basin.name} takes no answers from here; publish.mqtt.acknowledge in its site file lets it`,
          409,
        );
      }
      const by = access.login(request)?.name ?? "the central view";
      const { alarm, from_s } = request.body;
      try {
        await ear.tell(basin.name, `${acknowledgeTopic}/${alarm}`, acknowledgementText({ from_s, by }));
      } catch (fault) {
        const why = fault instanceof Error ? fault.message : String(fault);
        throw new BadRequest(`alarms: the answer did not get through (${why}); the board goes on calling people`, 503);
      }
      reply.code(202);
      return { by };
    },
  );

  function seen(request: FastifyRequest, name: string): Basin {
    const seer = access.seer(request); // first, for whoever is not logged in learns no name either
    const basin = basins.get(name);
    if (basin !== undefined && maySee(seer, basin)) return basin;
    throw new BadRequest(`basin: expected the name of one that you may see, found ${JSON.stringify(name)}`, 404);
  }
}

/** What is heard as it happens goes on for hours: it ends when the log-in does. */
function endWithLogIn(request: FastifyRequest, { raw }: FastifyReply, access: Access): void {
  const left_s = access.left_s(request);
  if (left_s === null) return;
  const end = setTimeout(() => raw.destroy(), 1000 * left_s).unref();
  raw.once("close", () => clearTimeout(end));
}
