// What every answer carries and every request must show, so that no other page in the browser can read or steer the
// board: no framing, nothing from elsewhere, no CORS, and on loopback only the names of this machine.

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
 * @param host       that the server listens on
 * @param alsoCalled name under which a proxy on this machine passes requests on; null: none
 */
export function guard(server: Server, host: string, alsoCalled: string | null = null): void {
  const own = ["localhost", "127.0.0.1", "[::1]", inUrl(host)];
  const names = isLoopback(host) ? new Set(alsoCalled === null ? own : [...own, alsoCalled]) : null;
  server.addHook("onRequest", async (request, reply) => {
    reply.headers(headers);
    if (names !== null) refuseOtherNames(request, names);
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
  const found = (request.headers.host ?? "").toLowerCase().replace(/:\d*$/, "");
  if (!names.has(found)) {
    throw new BadRequest(`host: expected ${[...names].join(", ")}, found ${JSON.stringify(found)}`, 403);
  }
}
