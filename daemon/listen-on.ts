// Makes the server listen and says where, or in one line why it cannot.

import { createServer } from "node:net";
import { inUrl } from "./server/guard.ts";
import type { Server } from "./server/server-parts.ts";

/** Another program has the port, or the address is not this machine's; the message says which. */
export class CannotListen extends Error {
  override readonly name = "CannotListen";
}

export interface Address {
  readonly host: string;
  /** 0: any that is free. */
  readonly port: number;
}

/** So many ports are tried before it is left to the system. */
const nearbyPorts = 20;

/**
 * @param orNextFree take the next free port instead of giving up when that one is taken
 * @returns address of the page
 * @throws {CannotListen}
 */
export async function listenOn(server: Server, { host, port }: Address, orNextFree = false): Promise<string> {
  const chosen = orNextFree ? await firstFree(host, port) : port;
  try {
    await server.listen({ host, port: chosen });
  } catch (error) {
    throw new CannotListen(explain(error, host, chosen), { cause: error });
  }
  const bound = server.server.address();
  const scheme = "setSecureContext" in server.server ? "https" : "http";
  return `${scheme}://${inUrl(host)}:${typeof bound === "object" && bound !== null ? bound.port : chosen}/`;
}

/**
 * Whether an address can be listened on, asked before anything is made that would have to be cleared away again.
 * @throws {CannotListen}
 */
export async function refuseTakenPort({ host, port }: Address): Promise<void> {
  const error = await tryPort(host, port);
  if (error !== null) throw new CannotListen(explain(error, host, port), { cause: error });
}

async function firstFree(host: string, port: number): Promise<number> {
  for (let candidate = port; candidate < port + nearbyPorts && candidate < 65_536; candidate++) {
    if (codeOf(await tryPort(host, candidate)) !== "EADDRINUSE") return candidate;
  }
  return 0;
}

/** The error of listening there; null when it can be done. */
function tryPort(host: string, port: number): Promise<Error | null> {
  return new Promise((resolve) => {
    const probe = createServer();
    probe.once("error", resolve);
    probe.listen({ host, port }, () => probe.close(() => resolve(null)));
  });
}

function explain(error: unknown, host: string, port: number): string {
  switch (codeOf(error)) {
    case "EADDRINUSE":
      return `server.port: ${port} is taken by another program on ${host}; stop it, or choose another with --port`;
    case "EACCES":
      return `server.port: ${port} needs rights that this user does not have; choose one from 1024 up with --port`;
    case "EADDRNOTAVAIL":
    case "ENOTFOUND":
    case "EAI_AGAIN":
      return `server.host: expected an address of this machine, found ${JSON.stringify(host)}`;
    default:
      return `server: cannot listen on ${host}, port ${port}: ${error instanceof Error ? error.message : error}`;
  }
}

function codeOf(error: unknown): unknown {
  return error instanceof Error && "code" in error ? error.code : undefined;
}
