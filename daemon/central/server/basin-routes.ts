// GET /basins/<name>/…: the page of one basin and its API, as on its board. To whoever may not see a basin it does not
// exist.

import type { FastifyReply, FastifyRequest } from "fastify";
import * as z from "zod";
import { type AlarmName, alarmNames, type Priority } from "../../../analysis/alarms/alarm.ts";
import { longestShelf_s } from "../../../analysis/alarms/alarm-book.ts";
import { alarmTable } from "../../../analysis/alarms/alarm-table.ts";
import { acknowledgementText, acknowledgeTopic } from "../../publishers/acknowledgement.ts";
import { shelveTopic, shelvingText } from "../../publishers/shelving.ts";
import { oneLine } from "../../server/one-line.ts";
import type { Server } from "../../server/server-parts.ts";
import { BadRequest } from "../../server/validate-request.ts";
import type { Basin, Basins } from "../basins.ts";
import type { BrokerEar } from "../broker-ear.ts";
import type { AcknowledgeAnswer } from "../central-types.ts";
import { boardTime_s } from "../conditions.ts";
import type { DrillDown } from "../drill-down.ts";
import { maySee } from "../overview.ts";
import { type Access, mayAnswer } from "./access.ts";

const params = z.object({ basin: z.string() });

const acknowledgeBody = z.strictObject({
  alarm: z.enum(alarmNames),
  from_s: z.number().describe("when it began, as the overview tells it"),
});

const shelveBody = z.strictObject({
  alarm: z.enum(alarmNames),
  for_s: z.number().positive().nullable().describe("for so long from now; null: off the shelf"),
  reason: z.string().overwrite(oneLine).max(120).nullable().default(null).describe("why"),
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

  server.post(
    "/basins/:basin/api/alarms/acknowledge",
    { schema: { body: acknowledgeBody } },
    async (request, reply): Promise<AcknowledgeAnswer> => {
      const { basin, by } = actor(request);
      if (basin.heard.alarms?.acknowledge !== true) throw notTaken(basin, "answers", "acknowledge");
      const { alarm, from_s } = request.body;
      await hand(basin, `${acknowledgeTopic}/${alarm}`, acknowledgementText({ from_s, by }));
      reply.code(202);
      return { by };
    },
  );

  server.post(
    "/basins/:basin/api/alarms/shelve",
    { schema: { body: shelveBody } },
    async (request, reply): Promise<AcknowledgeAnswer> => {
      const { basin, by } = actor(request);
      if (basin.heard.alarms?.shelve !== true) throw notTaken(basin, "shelving", "shelve");
      const { alarm, for_s, reason } = request.body;
      const longest_s = longestShelf_s[priorityOf(alarm, basin)];
      if (for_s !== null && for_s > longest_s)
        throw new BadRequest(`for_s: expected at most ${longest_s / 3600} h for ${alarm}, found ${for_s / 3600} h`);
      // By the board's own clock, be it wrong: it is the board that takes it off the shelf.
      const until_s = for_s === null ? null : boardTime_s(access.now_s() + for_s, basin.heard);
      await hand(
        basin,
        `${shelveTopic}/${alarm}`,
        shelvingText({ until_s, by, reason: reason === "" ? null : reason }),
      );
      reply.code(202);
      return { by };
    },
  );

  /** @throws {BadRequest} where whoever asks may not, or sees no such basin */
  function actor(request: FastifyRequest): { readonly basin: Basin; readonly by: string } {
    const basin = seen(request, params.parse(request.params).basin);
    const login = access.login(request);
    if (login !== null && !mayAnswer(login))
      throw new BadRequest("alarms: this log-in looks on; logins[].answers in the central view's file lets it", 403);
    return { basin, by: login?.name ?? "the central view" };
  }

  async function hand(basin: Basin, topic: string, payload: string): Promise<void> {
    try {
      await ear.tell(basin.name, topic, payload);
    } catch (fault) {
      const why = fault instanceof Error ? fault.message : String(fault);
      throw new BadRequest(`alarms: it did not get through (${why}); the board goes on calling people`, 503);
    }
  }

  function seen(request: FastifyRequest, name: string): Basin {
    const seer = access.seer(request); // first, for whoever is not logged in learns no name either
    const basin = basins.get(name);
    if (basin !== undefined && maySee(seer, basin)) return basin;
    throw new BadRequest(`basin: expected the name of one that you may see, found ${JSON.stringify(name)}`, 404);
  }
}

/** As the board tells it; of one that does not last there, as in the table. */
function priorityOf(name: AlarmName, { heard }: Basin): Priority {
  const told = heard.alarms?.alarms.find((alarm) => alarm.name === name)?.priority;
  return told ?? alarmTable.find((alarm) => alarm.name === name)?.priority ?? "high";
}

function notTaken({ name }: Basin, what: string, key: string): BadRequest {
  return new BadRequest(
    `alarms: the board of ${name} takes no ${what} from here; publish.mqtt.${key} in its site file lets it`,
    409,
  );
}

/** What is heard as it happens goes on for hours: it ends when the log-in does. */
function endWithLogIn(request: FastifyRequest, { raw }: FastifyReply, access: Access): void {
  const left_s = access.left_s(request);
  if (left_s === null) return;
  const end = setTimeout(() => raw.destroy(), 1000 * left_s).unref();
  raw.once("close", () => clearTimeout(end));
}
