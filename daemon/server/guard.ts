// What every answer carries and every request must show, so that no other page in the browser can read or steer the
// board: no framing, nothing from elsewhere, no CORS, on loopback only the names of this machine, and elsewhere nothing done
// under a name of the internet.

import { isIP } from "node:net";
import type { FastifyRequest } from "fastify";
import type { Server } from "./server-parts.ts";
import { BadRequest } from "./validate-request.ts";

const headers = {
  "content-security-policy":
    "default-src 'self'; img-src 'self' data:; style-src 'self' 'unsafe-inline'; object-src 'none'; base-uri 'none'; " +
    "form-action 'none'; frame-ancestors 'none'",
  "x-content-type-options": "nosniff",
  "referrer-policy": "no-referrer",
  "cross-origin-resource-policy": "same-origin",
};

/**
 * @param host       that the server listens on; null: something else than its name tells whose page asks (a log-in, TLS)
 * @param alsoCalled name under which a proxy on this machine passes requests on; null: none
 */
export function guard(server: Server, host: string | null, alsoCalled: string | null = null): void {
  const own = ["localhost", "127.0.0.1", "[::1]", ...(host === null ? [] : [inUrl(host)])];
  const names = new Set(alsoCalled === null ? own : [...own, alsoCalled.toLowerCase()]);
  server.addHook("onRequest", async (request, reply) => {
    reply.headers(headers);
    if (host === null) return;
    if (isLoopback(host)) refuseOtherNames(request, names);
    else if (!reads.has(request.method)) refuseNamesOfTheInternet(request, names);
  });
}

export function isLoopback(host: string): boolean {
  return host === "localhost" || host === "::1" || /^127(\.\d+){3}$/.test(host);
}

/** An address as it stands in a URL: IPv6 in brackets. */
export function inUrl(host: string): string {
  return host.includes(":") ? `[${host}]` : host.toLowerCase();
}

// A page elsewhere may have its name resolved to 127.0.0.1 (DNS rebinding); its own name then stands in Host.
function refuseOtherNames(request: FastifyRequest, names: ReadonlySet<string>): void {
  const found = calledBy(request);
  if (!names.has(found)) {
    throw new BadRequest(`host: expected ${[...names].join(", ")}, found ${JSON.stringify(found)}`, 403);
  }
}

const reads: ReadonlySet<string> = new Set(["GET", "HEAD", "OPTIONS"]);
/** Nobody elsewhere can have such a name: mDNS's (RFC 6762), a home's (RFC 8375), and those that are never given away. */
const ofHouses = /\.(?:local|home\.arpa|internal|lan|home)$/;

/** In the house the board has a number, a short name or one of the house's; a page that was resolved to it has its own. */
function refuseNamesOfTheInternet(request: FastifyRequest, names: ReadonlySet<string>): void {
  const found = calledBy(request);
  const isNumber = isIP(found.replace(/^\[|\]$/g, "")) !== 0;
  if (isNumber || !found.includes(".") || ofHouses.test(found) || names.has(found)) return;
  throw new BadRequest(
    `host: expected the number or the name of this board in the house, found ${JSON.stringify(found)}; where that is its name, say so in the site file as alarms.page_address`,
    403,
  );
}

function calledBy({ headers }: FastifyRequest): string {
  return (headers.host ?? "").toLowerCase().replace(/:\d*$/, "");
}
