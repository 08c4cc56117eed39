import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { type AlarmsConfig, nobodyTold } from "../../../daemon/alarms/alarms-config.ts";
import { webPush } from "../../../daemon/alarms/channels/web-push.ts";
import { phoneDesk } from "../../../daemon/alarms/phone-desk.ts";
import { buildServer } from "../../../daemon/server/build-server.ts";
import { phonesAnswer } from "../../../daemon/server/openapi/phones-schemas.ts";
import type { AlarmDesk, Server } from "../../../daemon/server/server-parts.ts";
import { browserKeys } from "../../real/push/open-push.ts";
import { listeningChannel } from "../alarms/channels/listening-channel.ts";
import { testParts } from "./parts.ts";

const channel = { kind: "web-push", name: "phones", email: "ann@example.org" } as const;
const reachedBy = (name: string, to: string) => ({
  ...{ name, reach: [{ by: "phones", to }], quiet: null, mostAnHour: 6 },
});
const config: AlarmsConfig = {
  ...nobodyTold,
  channels: [channel],
  contacts: [reachedBy("Ann", "ann"), reachedBy("Bob", "bob")],
};
const headers = { host: "localhost" };
let folder: string;
let server: Server;
let tests: string[][];

async function serve(changes: Partial<AlarmsConfig> = {}): Promise<Server> {
  const open = await webPush.open(
    webPush.config.parse(channel),
    listeningChannel(folder, { now_s: () => 1000 }).context,
  );
  const at = { name: "phones", comparesKeys: true, takesReplies: false, channel: open };
  const phones = phoneDesk({ ...config, ...changes }, new Map([["phones", at]]), (...of) => tests.push(of));
  return buildServer(testParts({ alarms: { phones } as AlarmDesk }));
}

beforeEach(async () => {
  tests = [];
  folder = mkdtempSync(join(tmpdir(), "phones-routes-"));
  server = await serve();
});
afterEach(async () => {
  await server.close();
  rmSync(folder, { recursive: true });
});

const post = (url: string, payload: object) => server.inject({ method: "POST", url, headers, payload });
const look = async () => (await server.inject({ url: "/api/phones", headers })).json();
function subscription(endpoint = "https://push.example.org/one") {
  const { public: p256dh, auth } = browserKeys();
  return { endpoint, expirationTime: null, keys: { p256dh, auth } };
}

describe("the list of phones", () => {
  it("says what a browser needs, and who can be told, as it is described", async () => {
    const answer = await look();
    expect(phonesAnswer.safeParse(answer).error?.message).toBeUndefined();
    expect(answer).toMatchObject({
      ...{ publicKey: expect.stringMatching(/^[\w-]{87}$/), problem: null },
      people: [
        { name: "Ann", by: "phones", phones: [] },
        { name: "Bob", by: "phones", phones: [] },
      ],
    });
  });

  it("takes a phone up under a contact, shows it without its address, and takes it off", async () => {
    const answer = (await post("/api/phones", { person: "Bob", name: "phone", subscription: subscription() })).json();
    expect(phonesAnswer.safeParse(answer).error?.message).toBeUndefined();
    const [, bob] = answer.people;
    expect(bob.phones).toMatchObject([{ name: "phone", since_s: 1000, took_s: null, shown_s: null, ended: null }]);
    expect(JSON.stringify(answer)).not.toContain("push.example.org");
    const left = await post("/api/phones/remove", { phone: bob.phones[0].id });
    expect(left.json().people[1].phones).toEqual([]);
  });

  it("keeps one entry of a phone that was taken up twice, for the last person chosen", async () => {
    const its = subscription();
    await post("/api/phones", { person: "Bob", name: "phone", subscription: its });
    await post("/api/phones", { person: "Ann", name: "mine", subscription: its });
    expect((await look()).people.map(({ phones }: { phones: object[] }) => phones.length)).toEqual([1, 0]);
  });

  it("puts another subscription in the place of one that it knows", async () => {
    const replaces = "https://push.example.org/one";
    const its = subscription(replaces);
    const first = (await post("/api/phones", { person: "Ann", name: "phone", subscription: its })).json();
    const next = subscription("https://push.example.org/two");
    const renewed = (await post("/api/phones/renew", { replaces, subscription: next })).json();
    expect(renewed.people[0].phones).toMatchObject([{ name: "phone" }]);
    expect(renewed.people[0].phones[0].id).not.toBe(first.people[0].phones[0].id);
    expect((await post("/api/phones/renew", { replaces, subscription: next })).json()).toEqual({
      error: "replaces: expected a phone of the list, found none",
    });
  });

  it("says what is wrong with a person, a subscription or a phone's word", async () => {
    const error = async (url: string, body: object) => {
      const answer = await post(url, body);
      return [answer.statusCode, answer.json().error];
    };
    expect(await error("/api/phones", { person: "Eve", name: "phone", subscription: subscription() })).toEqual([
      ...[400, "person: expected one of Ann, Bob, found Eve"],
    ]);
    const plain = subscription("http://push.example.org/one");
    expect(await error("/api/phones", { person: "Ann", name: "phone", subscription: plain })).toEqual([
      ...[400, expect.stringContaining("endpoint: expected an https address")],
    ]);
    expect(await error("/api/phones", { person: "Ann", name: "phone", subscription: {} })).toEqual([
      ...[400, expect.stringContaining("subscription.endpoint: expected a text")],
    ]);
    const shown = await post("/api/phones/shown", { phone: "none", key: "m1" });
    expect(shown.json()).toEqual({ known: false });
  });

  it("sends a test to the phones of one person", async () => {
    expect((await post("/api/phones/test", { person: "Bob" })).statusCode).toBe(200);
    expect(tests).toEqual([["Bob", "phones"]]);
    expect((await post("/api/phones/test", { person: "Eve" })).statusCode).toBe(400);
  });

  it("still shows the phone of somebody whom the site file no longer names", async () => {
    await post("/api/phones", { person: "Bob", name: "phone", subscription: subscription() });
    await server.close();
    server = await serve({ contacts: [reachedBy("Ann", "ann")] });
    expect((await look()).people).toMatchObject([
      { name: "Ann", by: "phones", phones: [] },
      { name: "bob", by: null, phones: [{ name: "phone" }] },
    ]);
  });

  it("says so where phones are not told, and where nobody is called", async () => {
    await server.close();
    server = await serve({ channels: [], contacts: [] });
    expect(await look()).toEqual({
      ...{ publicKey: null, secureAddress: null, people: [] },
      problem: "the site file names no channel of kind web-push, or no contact who is reached by it",
    });
    await server.close();
    server = buildServer(testParts());
    expect((await server.inject({ url: "/api/phones", headers })).statusCode).toBe(409);
  });
});
