// A push service on a loopback port, over TLS: takes what RFC 8030 lets it take from whoever has the right key (RFC 8292), and
// gives it to browsers of the test's own, which open it (RFC 8291).

import { readFileSync } from "node:fs";
import type { IncomingHttpHeaders, ServerResponse } from "node:http";
import { createServer, type Server } from "node:https";
import type { Subscription } from "../../../daemon/push/phone-book.ts";
import { type BrowserKeys, browserKeys, openPush } from "./open-push.ts";
import { readVapid } from "./vapid.ts";

export interface Delivered {
  readonly headers: IncomingHttpHeaders;
  /** As the browser opened it. */
  readonly text: string;
  readonly bytes: number;
}

export interface Browser {
  readonly subscription: Subscription;
  /** What waits for it, or reached it: of one topic the last alone (RFC 8030, 5.4). */
  readonly messages: Delivered[];
  /** Unsubscribes: the service forgets it at once, or remembers that it was. */
  leave(how: "forgotten" | "remembered"): void;
}

export interface PushService {
  /** @param applicationServerKey whose messages alone it takes */
  subscribe(applicationServerKey: string): Browser;
  /** How it answers from now on, whatever is right; null: as it should. */
  answers: ((response: ServerResponse) => void) | null;
  /** Requests so far. */
  asked: number;
  readonly origin: string;
  close(): Promise<void>;
}

/** RFC 8030, 7.2: it must take so much. */
const longest = 4096;

export async function startPushService({ cert, key }: { cert: string; key: string }): Promise<PushService> {
  const browsers = new Map<string, { keys: BrowserKeys; owner: string; gone: number | null; messages: Delivered[] }>();
  const server: Server = createServer({ cert: readFileSync(cert), key: readFileSync(key) }, (request, response) => {
    service.asked++;
    const chunks: Buffer[] = [];
    request.on("data", (chunk: Buffer) => chunks.push(chunk));
    request.on("end", () => {
      if (service.answers !== null) service.answers(response);
      else take(request.url ?? "", request.headers, Buffer.concat(chunks), response);
    });
  });

  function take(path: string, headers: IncomingHttpHeaders, body: Buffer, response: ServerResponse): void {
    const refuse = (status: number, why: string) => response.writeHead(status).end(why);
    const browser = browsers.get(path);
    if (browser === undefined) return void refuse(404, "no such subscription");
    if (browser.gone !== null) return void refuse(browser.gone, "it is over");
    if (body.length > longest) return void refuse(413, "too long");
    if (!/^\d+$/.test(String(headers.ttl))) return void refuse(400, "a TTL is needed");
    if (headers["content-encoding"] !== "aes128gcm") return void refuse(400, "not encrypted as it should be");
    try {
      const { claims, key: owner } = readVapid(headers.authorization ?? "");
      const left_s = claims.exp - Date.now() / 1000;
      if (owner !== browser.owner) return void refuse(403, "another's key");
      if (claims.aud !== service.origin || left_s <= 0 || left_s > 86_400) return void refuse(403, "claims");
    } catch (error) {
      return void refuse(401, String(error));
    }
    const delivered = { headers, text: openPush(body, browser.keys), bytes: body.length };
    const waiting = browser.messages.findIndex((each) => each.headers.topic === headers.topic);
    if (waiting !== -1 && headers.topic !== undefined) browser.messages.splice(waiting, 1);
    browser.messages.push(delivered);
    response.writeHead(201, { location: `${service.origin}/message/${service.asked}` }).end();
  }

  await new Promise<void>((done) => server.listen(0, "127.0.0.1", done));
  const address = server.address();
  const origin = `https://127.0.0.1:${typeof address === "object" ? address?.port : ""}`;
  const service: PushService = {
    origin,
    answers: null,
    asked: 0,
    subscribe(owner) {
      const keys = browserKeys();
      const path = `/push/${keys.public.slice(1, 30)}`;
      const browser = { keys, owner, gone: null as number | null, messages: [] as Delivered[] };
      browsers.set(path, browser);
      return {
        subscription: { endpoint: origin + path, keys: { p256dh: keys.public, auth: keys.auth } },
        messages: browser.messages,
        leave(how) {
          browser.gone = how === "forgotten" ? 404 : 410;
        },
      };
    },
    async close() {
      server.closeAllConnections();
      await new Promise<void>((done) => server.close(() => done()));
    },
  };
  return service;
}
