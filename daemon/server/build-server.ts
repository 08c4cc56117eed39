// Puts the API and the page together. It builds; who calls it listens.

import fastify, { type FastifyServerOptions } from "fastify";
import { encodeJson } from "./encode-json.ts";
import { guard } from "./guard.ts";
import { addCyclesRoute } from "./routes/cycles.ts";
import { addEventsRoute } from "./routes/events.ts";
import { addFindingsRoute } from "./routes/findings.ts";
import { addInflowRoute } from "./routes/inflow.ts";
import { addLevelRoute } from "./routes/level.ts";
import { addOpenApiRoute } from "./routes/openapi.ts";
import { addPageRoute } from "./routes/page.ts";
import { addReportRoute } from "./routes/report.ts";
import { addSiteRoute } from "./routes/site.ts";
import { addSpeedRoute } from "./routes/speed.ts";
import { addStateRoute } from "./routes/state.ts";
import type { Server, ServerParts, ZodTypes } from "./server-parts.ts";
import { validateRequest } from "./validate-request.ts";

const largestBody_bytes = 10_000;

// Said at the start, the framework does not load its own two compilers, which are not needed here, and half its size.
const schemaController = { compilersFactory: { buildValidator: neverNeeded, buildSerializer: neverNeeded } };

const routes = [
  addSiteRoute,
  addStateRoute,
  addLevelRoute,
  addCyclesRoute,
  addInflowRoute,
  addFindingsRoute,
  addSpeedRoute,
  addReportRoute,
  addEventsRoute,
  addOpenApiRoute,
  addPageRoute,
];

export function buildServer(parts: ServerParts): Server {
  const options: FastifyServerOptions = { bodyLimit: largestBody_bytes, forceCloseConnections: true, schemaController };
  const server: Server = fastify(options).withTypeProvider<ZodTypes>();
  server.setValidatorCompiler(validateRequest);
  server.setSerializerCompiler(() => encodeJson);
  server.setReplySerializer(encodeJson);
  guard(server, parts.host);
  sayErrors(server);
  for (const add of routes) add(server, parts);
  server.addHook("preClose", async () => parts.feed.close());
  return server;
}

const badBodies: Readonly<Record<string, string>> = {
  FST_ERR_CTP_EMPTY_JSON_BODY: "body: expected JSON, found nothing",
  FST_ERR_CTP_INVALID_JSON_BODY: "body: expected JSON, found something that is not",
  FST_ERR_CTP_BODY_TOO_LARGE: `body: expected at most ${largestBody_bytes} bytes, found more`,
};

function neverNeeded(): never {
  throw new Error("every schema here is one of zod");
}

/** Every error of the API is one line in `error`. */
function sayErrors(server: Server): void {
  server.setErrorHandler((error: Error & { statusCode?: number; code?: string }, request, reply) => {
    const status = error.statusCode ?? 500;
    if (status === 415) {
      const found = JSON.stringify(request.headers["content-type"] ?? "");
      return reply.code(415).send({ error: `content-type: expected application/json, found ${found}` });
    }
    const badBody = badBodies[error.code ?? ""];
    if (badBody !== undefined) return reply.code(status).send({ error: badBody });
    return reply.code(status).send({ error: error.message });
  });
  server.setNotFoundHandler((request, reply) => {
    const error = `${request.method} ${request.url.slice(0, 200)}: no such address`;
    if (/^\/api(\/|$|\?)/.test(request.url)) {
      return reply.code(404).send({ error: `${error}; /api/openapi.json lists those there are` });
    }
    return reply.code(404).type("text/plain; charset=utf-8").send(`${error}\n`);
  });
}
