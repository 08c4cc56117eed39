// Every error of the API as one line in `error`: what was found and what is expected, also where no route was reached.

import type { Socket } from "node:net";
import type { FastifyReply, FastifyRequest, FastifyServerOptions } from "fastify";
import { StoreError } from "../stores/store-error.ts";
import type { Server } from "./server-parts.ts";

export const largestBody_bytes = 10_000;

export function sayErrors(server: Server): void {
  server.setErrorHandler((error: ServerError, request, reply) => {
    const status = error.statusCode ?? (error instanceof StoreError ? 503 : 500);
    return reply.code(status).send({ error: inWords(error, status, request) });
  });
  server.setNotFoundHandler((request, reply) => {
    const error = `${request.method} ${request.url.slice(0, 200)}: no such address`;
    if (/^\/api(\/|$|\?)/.test(request.url)) {
      return reply.code(404).send({ error: `${error}; /api/openapi.json lists those there are` });
    }
    return reply.code(404).type("text/plain; charset=utf-8").send(`${error}\n`);
  });
}

/** For requests that are turned away before a route is looked for. */
export const errorsBeforeRoutes: Pick<FastifyServerOptions, "frameworkErrors" | "clientErrorHandler"> = {
  frameworkErrors(_error, request: FastifyRequest, reply: FastifyReply) {
    const found = JSON.stringify(request.url.slice(0, 60));
    const error = `address: expected a path whose % signs stand before two hexadecimal digits, found ${found}`;
    reply.code(400).type("application/json; charset=utf-8").send(JSON.stringify({ error }));
  },
  clientErrorHandler(error: NodeJS.ErrnoException, socket: Socket) {
    if (error.code === "ECONNRESET" || !socket.writable) return void socket.destroy();
    const { status, words } = unread[error.code ?? ""] ?? noHttp;
    const body = JSON.stringify({ error: words });
    const headers = `Content-Type: application/json; charset=utf-8\r\nContent-Length: ${Buffer.byteLength(body)}`;
    socket.end(`HTTP/1.1 ${status}\r\n${headers}\r\nConnection: close\r\n\r\n${body}`);
  },
};

const noHttp = { status: "400 Bad Request", words: "request: expected HTTP/1.1, found something that is not" };
const unread: Readonly<Record<string, typeof noHttp>> = {
  HPE_HEADER_OVERFLOW: {
    status: "431 Request Header Fields Too Large",
    words: "request: expected an address and headers of at most 16 kB together, found more",
  },
  ERR_HTTP_REQUEST_TIMEOUT: {
    status: "408 Request Timeout",
    words: "request: expected to have come whole by now, found only its beginning",
  },
};

type ServerError = Error & { readonly statusCode?: number; readonly code?: string };

function inWords(error: ServerError, status: number, { headers }: FastifyRequest): string {
  if (status === 415) {
    return `content-type: expected application/json, found ${JSON.stringify(headers["content-type"] ?? "")}`;
  }
  switch (error.code) {
    case "FST_ERR_CTP_EMPTY_JSON_BODY":
      return `body: expected JSON of at most ${largestBody_bytes} bytes, found nothing`;
    case "FST_ERR_CTP_INVALID_JSON_BODY":
      return "body: expected JSON, found something that is not";
    case "FST_ERR_CTP_BODY_TOO_LARGE":
      return `body: expected at most ${largestBody_bytes} bytes, found ${headers["content-length"] ?? "more"}`;
    default:
      return error.message;
  }
}
