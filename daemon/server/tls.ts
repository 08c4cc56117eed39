// The server over TLS where certificate and key are given, with whatever stands in their files: a certificate that was
// renewed is taken without a restart.

import { readFileSync } from "node:fs";
import type { Server as HttpsServer } from "node:https";
import { createSecureContext } from "node:tls";
import fastify, { type FastifyServerOptions } from "fastify";
import { CannotStart } from "../cannot-start.ts";
import type { Server } from "./server-parts.ts";

/** Paths of PEM files. */
export interface TlsFiles {
  readonly cert: string;
  readonly key: string;
}

const look_ms = 3_600_000;

/**
 * @param every_ms how often the files are looked at
 * @throws {CannotStart} when one cannot be read, or they do not belong together
 */
export function serverOver(tls: TlsFiles | null, options: FastifyServerOptions, every_ms = look_ms): Server {
  if (tls === null) return fastify(options);
  let files = read(tls);
  // Its routes see the same requests and replies, whichever way they came in.
  const server = fastify({ ...options, https: { ...files, minVersion: "TLSv1.2" } } as FastifyServerOptions) as Server;
  const timer = setInterval(() => {
    try {
      const now = read(tls);
      if (now.cert.equals(files.cert) && now.key.equals(files.key)) return;
      (server.server as unknown as HttpsServer).setSecureContext({ ...now, minVersion: "TLSv1.2" });
      files = now;
    } catch {
      // Just being written, or gone: what is served stays, and is looked for again.
    }
  }, every_ms);
  timer.unref();
  server.addHook("onClose", async () => clearInterval(timer));
  return server;
}

function read(tls: TlsFiles): { readonly cert: Buffer; readonly key: Buffer } {
  const files = { cert: readPem("cert", tls.cert), key: readPem("key", tls.key) };
  try {
    createSecureContext(files);
  } catch (cause) {
    const why = cause instanceof Error ? cause.message : cause;
    throw new CannotStart(
      `server.tls: expected a certificate and its own private key (PEM) in ${tls.cert} and ${tls.key}, found none: ${why}`,
      { cause },
    );
  }
  return files;
}

function readPem(key: string, file: string): Buffer {
  try {
    return readFileSync(file);
  } catch (cause) {
    const why = cause instanceof Error ? cause.message : cause;
    throw new CannotStart(`server.tls.${key}: cannot read ${file}: ${why}`, { cause });
  }
}
