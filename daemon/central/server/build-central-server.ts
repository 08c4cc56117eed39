// Puts the central view's routes and its page together. It builds; who calls it listens.

import type { FastifyServerOptions } from "fastify";
import { encodeJson } from "../../server/encode-json.ts";
import { guard } from "../../server/guard.ts";
import { addPageRoute } from "../../server/routes/page.ts";
import { addPhonesRoutesFor } from "../../server/routes/phones.ts";
import { errorsBeforeRoutes, largestBody_bytes, sayErrors } from "../../server/say-errors.ts";
import type { Server, ZodTypes } from "../../server/server-parts.ts";
import { serverOver } from "../../server/tls.ts";
import { validateRequest } from "../../server/validate-request.ts";
import type { Basins } from "../basins.ts";
import type { BrokerEar } from "../broker-ear.ts";
import type { CentralFile } from "../config/central-file.ts";
import type { DrillDown } from "../drill-down.ts";
import type { Overview } from "../overview.ts";
import type { OverviewFeed } from "../overview-feed.ts";
import type { PhoneTeller } from "../phones/tell-phones.ts";
import type { Access } from "./access.ts";
import { addBasinRoutes } from "./basin-routes.ts";
import { addOverviewRoutes } from "./overview-routes.ts";
import { phonesDesk } from "./phones-desk.ts";
import { addSessionRoutes } from "./session-routes.ts";

export interface CentralServerParts {
  readonly centralFile: CentralFile;
  readonly access: Access;
  readonly basins: Basins;
  readonly overview: Overview;
  readonly feed: OverviewFeed;
  readonly drillDown: DrillDown;
  /** Null where phones are not told. */
  readonly teller: PhoneTeller | null;
  readonly ear: Pick<BrokerEar, "tell">;
  /** Folder of the overview's built page. */
  readonly pageFolder: string;
}

// As in the board's server: said at the start, the framework does not load its own two compilers.
const schemaController = { compilersFactory: { buildValidator: neverNeeded, buildSerializer: neverNeeded } };

/** @throws {CannotStart} when certificate or key cannot be read */
export function buildCentralServer(parts: CentralServerParts): Server {
  const { server: address, logins } = parts.centralFile;
  const options: FastifyServerOptions = {
    bodyLimit: largestBody_bytes,
    forceCloseConnections: true,
    schemaController,
    ...errorsBeforeRoutes,
    // The proxy says whose request it is; nobody else is believed.
    ...(address.behindTlsProxy && { trustProxy: "loopback" }),
  };
  const server = serverOver(address.tls, options).withTypeProvider<ZodTypes>();
  server.setValidatorCompiler(validateRequest);
  server.setSerializerCompiler(() => encodeJson);
  server.setReplySerializer(encodeJson);
  // Where all log in, a page elsewhere that has its name resolved to this machine has no cookie to show.
  guard(server, logins.length > 0 ? null : address.host);
  sayErrors(server);
  addSessionRoutes(server, parts.access);
  addOverviewRoutes(server, parts.access, parts.overview, parts.feed);
  addPhonesRoutesFor(server, (request) => {
    parts.access.seer(request);
    return phonesDesk(parts.teller, parts.access.login(request)?.name ?? "this machine");
  });
  addBasinRoutes(server, parts);
  addPageRoute(server, parts);
  server.addHook("preClose", async () => parts.feed.close());
  return server;
}

function neverNeeded(): never {
  throw new Error("every schema here is one of zod");
}
