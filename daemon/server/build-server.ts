// Puts the API and the page together. It builds; who calls it listens.

import type { FastifyServerOptions } from "fastify";
import { encodeJson } from "./encode-json.ts";
import { guard, isLoopback } from "./guard.ts";
import { addAcknowledgeRoutes } from "./routes/acknowledge.ts";
import { addAlarmsRoutes } from "./routes/alarms.ts";
import { addBudgetRoute } from "./routes/budget.ts";
import { addCyclesRoute } from "./routes/cycles.ts";
import { addEventsRoute } from "./routes/events.ts";
import { addFindingsRoute } from "./routes/findings.ts";
import { addInflowRoute } from "./routes/inflow.ts";
import { addLevelRoute } from "./routes/level.ts";
import { addOpenApiRoute } from "./routes/openapi.ts";
import { addPageRoute } from "./routes/page.ts";
import { addPhonesRoutes } from "./routes/phones.ts";
import { addRainRoute } from "./routes/rain.ts";
import { addReportRoute, addSummaryRoute } from "./routes/report.ts";
import { addSiteRoute } from "./routes/site.ts";
import { addSizingRoute } from "./routes/sizing.ts";
import { addSpeedRoute } from "./routes/speed.ts";
import { addStateRoute } from "./routes/state.ts";
import { errorsBeforeRoutes, largestBody_bytes, sayErrors } from "./say-errors.ts";
import type { Server, ServerParts, ZodTypes } from "./server-parts.ts";
import { serverOver } from "./tls.ts";
import { validateRequest } from "./validate-request.ts";

// Said at the start, the framework does not load its own two compilers, which are not needed here, and half its size.
const schemaController = { compilersFactory: { buildValidator: neverNeeded, buildSerializer: neverNeeded } };

const routes = [
  addSiteRoute,
  addStateRoute,
  addLevelRoute,
  addCyclesRoute,
  addBudgetRoute,
  addInflowRoute,
  addFindingsRoute,
  addAlarmsRoutes,
  addPhonesRoutes,
  addAcknowledgeRoutes,
  addSpeedRoute,
  addReportRoute,
  addSummaryRoute,
  addSizingRoute,
  addRainRoute,
  addEventsRoute,
  addOpenApiRoute,
  addPageRoute,
];

/** @throws {CannotStart} when certificate or key cannot be read */
export function buildServer(parts: ServerParts): Server {
  const options: FastifyServerOptions = {
    bodyLimit: largestBody_bytes,
    forceCloseConnections: true,
    schemaController,
    ...errorsBeforeRoutes,
  };
  const server: Server = serverOver(parts.tls ?? null, options).withTypeProvider<ZodTypes>();
  server.setValidatorCompiler(validateRequest);
  server.setSerializerCompiler(() => encodeJson);
  server.setReplySerializer(encodeJson);
  // Over TLS no page elsewhere can have our name.
  const { host } = parts;
  guard(server, host !== null && parts.tls && !isLoopback(host) ? null : host, parts.alsoCalled);
  sayErrors(server);
  for (const add of routes) add(server, parts);
  server.addHook("preClose", async () => parts.feed.close());
  return server;
}

function neverNeeded(): never {
  throw new Error("every schema here is one of zod");
}
