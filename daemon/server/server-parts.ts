// What the server needs from the daemon: questions it may ask, and the one thing it may change.

import type { IncomingMessage, ServerResponse } from "node:http";
import type { FastifyBaseLogger, FastifyInstance, FastifyTypeProvider, RawServerDefault } from "fastify";
import type * as z from "zod";
import type { ReportSummary } from "../../analysis/report/report.ts";
import type { OpenSource } from "../sources/source.ts";
import type { RecordReader } from "../stores/record-reader.ts";
import type { LiveState, SiteInfo } from "./api-types.ts";
import type { LiveFeed } from "./live-feed.ts";

export interface ServerParts {
  readonly siteInfo: SiteInfo;
  readonly record: RecordReader;
  readonly feed: LiveFeed;
  state(): LiveState;
  /** What the readings so far say. */
  summary(): ReportSummary;
  /** Null for a real basin, whose time nobody changes. */
  speed(): NonNullable<OpenSource["speed"]> | null;
  /** Address that the server listens on; on loopback, requests that name another host are turned away. */
  readonly host: string;
  /** Folder of the built page. */
  readonly pageFolder: string;
}

/** Lets a route's zod schemas type its query and body. */
export interface ZodTypes extends FastifyTypeProvider {
  readonly validator: this["schema"] extends z.ZodType ? z.output<this["schema"]> : unknown;
  readonly serializer: unknown;
}

export type Server = FastifyInstance<
  RawServerDefault,
  IncomingMessage,
  ServerResponse<IncomingMessage>,
  FastifyBaseLogger,
  ZodTypes
>;
