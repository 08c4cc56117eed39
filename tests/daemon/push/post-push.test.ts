// What goes nowhere: into the network around us, and with keys that are none.

import { once } from "node:events";
import { createServer, type Server } from "node:net";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import type { Phone } from "../../../daemon/push/phone-book.ts";
import { postPush } from "../../../daemon/push/post-push.ts";
import { treatment } from "../../../daemon/push/push-note.ts";
import { browserKeys } from "../../real/push/open-push.ts";

let server: Server;
let asked: number;
let port: number;

beforeEach(async () => {
  asked = 0;
  server = createServer((socket) => {
    asked++;
    socket.destroy();
  }).listen(0, "127.0.0.1");
  await once(server, "listening");
  const address = server.address();
  port = address !== null && typeof address === "object" ? address.port : 0;
});
afterEach(() => new Promise((done) => server.close(done)));

function post(endpoint: string, keys: { p256dh?: string; ca?: Buffer } = {}) {
  const own = browserKeys();
  const phone = {
    ...{ id: "x", to: "Ann", name: "phone", endpoint, p256dh: keys.p256dh ?? own.public, auth: own.auth },
    ...{ since_s: 0, took_s: null, shown_s: null, ended: null },
  } satisfies Phone;
  const ours = browserKeys();
  const sender = {
    ...{ publicKey: ours.public, privateKey: ours.private, subject: "mailto:a@example.org", ca: keys.ca ?? null },
  };
  const at = { signal: new AbortController().signal, now_s: 0 };
  return postPush(phone, "{}", treatment("x", "high", "alarm"), sender, at);
}

describe("a message to a phone", () => {
  it("goes to nobody in our own network, by number or by name", async () => {
    for (const host of ["127.0.0.1", "localhost"]) {
      const outcome = await post(`https://${host}:${port}/`);
      expect(outcome).toMatchObject({ is: "failed", reason: expect.stringContaining("not on the internet") });
    }
    expect(asked).toBe(0);
  });

  it("does where the push service is one's own, by its authority's certificate", async () => {
    expect(await post(`https://127.0.0.1:${port}/`, { ca: Buffer.alloc(0) })).toMatchObject({ is: "failed" });
    expect(asked).toBe(1);
  });

  it("that cannot be encrypted fails in words, and throws nothing", async () => {
    const outcome = await post("https://push.example.org/x", { p256dh: "AAAA" });
    expect(outcome).toMatchObject({ is: "failed", reason: expect.stringContaining("65 bytes") });
  });
});
