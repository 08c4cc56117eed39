// The channel to phones against a push service on a loopback port, which opens what it is given and checks who signed it.

import { spawn } from "node:child_process";
import { ECDH } from "node:crypto";
import { once } from "node:events";
import { mkdtempSync, readdirSync, readFileSync, rmSync, statSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { text } from "node:stream/consumers";
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from "vitest";
import type { OpenChannel } from "../../daemon/alarms/channels/channel.ts";
import { webPush } from "../../daemon/alarms/channels/web-push.ts";
import { type Heard, listeningChannel, message } from "../daemon/alarms/channels/listening-channel.ts";
import { makeCertificates } from "./certificates.ts";
import { freePort } from "./free-port.ts";
import { type Browser, type PushService, startPushService } from "./push/push-service.ts";
import { readVapid } from "./push/vapid.ts";

let certificates: string;
let pair: { cert: string; key: string };
let folder: string;
let service: PushService;
let heard: Heard;
let now_s: number;
const never = new AbortController().signal;

beforeAll(() => {
  certificates = mkdtempSync(join(tmpdir(), "undercroft-push-"));
  pair = makeCertificates(certificates, "push");
});
afterAll(() => rmSync(certificates, { recursive: true, force: true }));
beforeEach(async () => {
  folder = mkdtempSync(join(tmpdir(), "undercroft-push-"));
  now_s = 1_772_582_400;
  service = await startPushService(pair);
});
afterEach(async () => {
  await service.close();
  rmSync(folder, { recursive: true, force: true });
});

async function open(addresses = ["Ann"]): Promise<OpenChannel> {
  const config = webPush.config.parse({
    ...{ kind: "web-push", name: "phones", email: "ann@example.org" },
    ca: join(certificates, "push-ca.pem"),
  });
  const listening = listeningChannel(folder, { addresses, now_s: () => now_s });
  heard = listening.heard;
  return webPush.open(config, listening.context);
}

function takeUp(channel: OpenChannel, name = "phone", to = "Ann"): Browser & { readonly id: string } {
  const browser = service.subscribe(channel.phones?.publicKey ?? "");
  const phone = channel.phones?.add({ to, name }, browser.subscription, null);
  return { ...browser, id: phone?.id ?? "" };
}

const told = (changes: Partial<typeof message> = {}) => ({ ...message, to: "Ann", ...changes });
const about = (occurrence: string, kind = "raised") => ({
  message: 17,
  alarms: [{ alarm: kind === "test" ? null : "high-water", occurrence, kind }],
});
const notes = ({ messages }: Browser) => messages.map(({ text }) => JSON.parse(text));

describe("web push", () => {
  it("reaches a phone encrypted for it alone, signed, short, and with where a tap leads", async () => {
    const channel = await open();
    const phone = takeUp(channel);
    expect(await channel.send(told({ data: about("high-water-3") }), never)).toEqual({ is: "handed-over" });
    const [{ headers, bytes }] = phone.messages as [Browser["messages"][number]];
    expect(notes(phone)).toEqual([
      {
        ...{ key: message.key, phone: phone.id, title: message.subject, text: message.text, url: message.link },
        ...{ tag: headers.topic, canAnswer: true, stays: true, lasts: [headers.topic?.slice(0, 10)], over: [] },
      },
    ]);
    expect(bytes).toBeLessThan(1000);
    const { claims, key } = readVapid(headers.authorization ?? "");
    expect([claims.aud, claims.sub, key]).toEqual([
      ...[service.origin, "mailto:ann@example.org", channel.phones?.publicKey],
    ]);
    expect(readdirSync(folder)).toEqual(["site.phones.json"]);
    expect(channel.health()).toEqual({ problem: null, note: "one phone" });
  });

  it.each([
    // RFC 8030, 5.2 to 5.4: how long it is kept, whether it wakes a phone that saves its battery
    ["high", "raised", { ttl: "43200", urgency: "high" }, true],
    ["medium", "raised", { ttl: "86400", urgency: "normal" }, false],
    ["low", "raised", { ttl: "259200", urgency: "low" }, false],
    ["high", "over", { ttl: "43200", urgency: "normal" }, false],
    ["low", "test", { ttl: "600", urgency: "normal" }, false],
  ] as const)("treats what is %s and %s by that", async (priority, kind, headers, stays) => {
    const channel = await open();
    const phone = takeUp(channel);
    await channel.send(told({ priority, data: about(kind === "test" ? "" : "high-water-3", kind) }), never);
    expect(phone.messages[0]?.headers).toMatchObject(headers);
    expect(notes(phone)[0]).toMatchObject({ stays, canAnswer: kind === "raised" });
  });

  it("lets the last word on a thing replace what still waits of it, and nothing else", async () => {
    const channel = await open();
    const phone = takeUp(channel);
    await channel.send(told({ key: "m1-a", data: about("high-water-3") }), never);
    await channel.send(told({ key: "m2-b", data: about("power-lost-1") }), never);
    await channel.send(told({ key: "m3-c", data: about("high-water-3", "over") }), never);
    expect(notes(phone).map(({ key }) => key)).toEqual(["m2-b", "m3-c"]);
    expect(phone.messages[0]?.headers.topic).toMatch(/^[\w-]{1,32}$/); // RFC 8030, 5.4
  });

  it("takes no alarm off the screen by what is said of another that came in the same message", async () => {
    const channel = await open();
    const phone = takeUp(channel);
    const joined = { message: 17, alarms: [...about("power-lost-1").alarms, ...about("high-water-3").alarms] };
    await channel.send(told({ key: "m1-a", data: joined }), never);
    await channel.send(told({ key: "m2-b", data: about("power-lost-1", "over") }), never);
    expect(notes(phone).map(({ key }) => key)).toEqual(["m1-a", "m2-b"]);
    // So that the phone takes the first one off when the other is over, too.
    const [both, end] = notes(phone);
    expect([both?.lasts.length, both?.over, end?.lasts]).toEqual([2, [], []]);
    expect(end?.over).toEqual(both?.lasts.slice(0, 1));
    const tags = new Set(notes(phone).map(({ tag }) => tag));
    expect(tags.size).toBe(2);
    // What is said of both replaces what was said of both, in whichever order.
    await channel.send(told({ key: "m3-c", data: { ...joined, alarms: joined.alarms.toReversed() } }), never);
    expect(notes(phone).map(({ key }) => key)).toEqual(["m2-b", "m3-c"]);
  });

  it("tells each of a person's phones, nobody else's, and is content with one", async () => {
    const channel = await open(["Ann", "Bob"]);
    const [first, second] = [takeUp(channel, "phone"), takeUp(channel, "tablet")];
    const other = takeUp(channel, "phone", "Bob");
    await channel.send(told(), never);
    expect([first, second, other].map(({ messages }) => messages.length)).toEqual([1, 1, 0]);
    second.leave("remembered");
    expect(await channel.send(told({ key: "m18-x" }), never)).toEqual({ is: "handed-over" });
    expect(first.messages).toHaveLength(2);
    other.leave("remembered");
    await channel.send(told({ to: "Bob" }), never);
    // One person's trouble is not the other's.
    expect(channel.health("Ann")).toEqual({ problem: null, note: "one phone" });
    expect(channel.health("Bob").problem).toMatch(/^no phone of Bob is told/);
  });

  it.each([
    ["forgotten", 404],
    ["remembered", 410],
  ] as const)("drops a phone whose subscription is %s by its service (%i), and says so", async (how, status) => {
    const channel = await open();
    const phone = takeUp(channel);
    phone.leave(how);
    const reason = `its push service, ${new URL(service.origin).host}, knows it no more (${status})`;
    expect(await channel.send(told(), never)).toEqual({ is: "failed", reason, again: true, mayHaveLeft: false });
    expect(await channel.send(told(), never)).toMatchObject({
      reason: `no phone of Ann is told (phone: ${reason}): open the page on it and press "Tell this phone" under Alarms`,
    });
    expect(service.asked).toBe(1);
    expect(channel.health().problem).toContain("no phone of Ann is told");
    expect(heard.log).toContain(`Ann's phone is told no more: ${reason}`);
    // After a restart, too; and taken up anew it is told again.
    const again = await open();
    expect(again.phones?.all()).toMatchObject([{ id: phone.id, ended: { at_s: now_s, reason } }]);
    again.phones?.add({ to: "Ann", name: "phone" }, takeUp(again).subscription, phone.id);
    expect(await again.send(told(), never)).toEqual({ is: "handed-over" });
    expect(again.phones?.all()).toHaveLength(1);
  });

  it("leaves a service alone for as long as it asks for", async () => {
    const channel = await open();
    const phone = takeUp(channel);
    const { host } = new URL(service.origin);
    service.answers = (response) => response.writeHead(429, { "retry-after": "40" }).end("slow down");
    expect(await channel.send(told(), never)).toMatchObject({
      ...{ is: "failed", again: true, reason: `${host}: has had enough for now (429); it says "slow down"` },
    });
    service.answers = null;
    now_s += 15;
    expect(await channel.send(told(), never)).toMatchObject({
      ...{ is: "failed", again: true, reason: `${host}: wants to be left alone for another 25 s` },
    });
    expect(service.asked).toBe(1);
    now_s += 25;
    expect(await channel.send(told(), never)).toEqual({ is: "handed-over" });
    expect(phone.messages).toHaveLength(1);
    service.answers = (response) =>
      response.writeHead(503, { "retry-after": new Date((now_s + 120) * 1000).toUTCString() }).end();
    await channel.send(told(), never);
    expect(await channel.send(told(), never)).toMatchObject({
      reason: `${host}: wants to be left alone for another 120 s`,
    });
  });

  it.each([
    [400, "answers 400", false],
    [403, "refuses our signature (403); is the board's clock right?", false],
    [413, "takes no message of that length (413)", false],
    [301, "sends us elsewhere (301), where we do not go", false],
    [500, "answers 500", true],
  ])("says what %i means", async (status, reason, again) => {
    const channel = await open();
    takeUp(channel);
    service.answers = (response) => response.writeHead(status, { location: "/elsewhere" }).end();
    const outcome = await channel.send(told(), never);
    expect(outcome).toMatchObject({ is: "failed", again, mayHaveLeft: false });
    expect(outcome).toHaveProperty("reason", expect.stringContaining(reason));
    expect(channel.health().problem).toContain(`Ann's phone: ${new URL(service.origin).host}: ${reason}`);
    expect(service.asked).toBe(1);
  });

  it("is given up while the service is silent, and says that it may have left", async () => {
    const channel = await open();
    takeUp(channel);
    const giveUp = new AbortController();
    service.answers = () => giveUp.abort();
    const reason = `${new URL(service.origin).host}: given up before it answered`;
    expect(await channel.send(told(), giveUp.signal)).toEqual({
      ...{ is: "failed", reason, again: true, mayHaveLeft: true },
    });
  });

  it("trusts no service with a certificate of nobody", async () => {
    const { ca } = makeCertificates(certificates, "other");
    const config = webPush.config.parse({ kind: "web-push", name: "phones", email: "ann@example.org", ca });
    const channel = await webPush.open(config, listeningChannel(folder, { addresses: ["Ann"] }).context);
    const phone = takeUp(channel);
    expect(await channel.send(told(), never)).toMatchObject({
      ...{ is: "failed", again: true, reason: expect.stringMatching(/certificate|issuer/) },
    });
    expect(phone.messages).toEqual([]);
  });

  it("fits what every service must take, whatever the site is called", async () => {
    const channel = await open();
    const phone = takeUp(channel);
    const long = "🜄".repeat(3000);
    await channel.send(
      told({ subject: long, text: long, link: `https://basin.example.org/${"a".repeat(900)}` }),
      never,
    );
    // RFC 8030, 7.2
    expect(phone.messages[0]?.bytes).toBeLessThan(4096);
    expect(notes(phone)[0].url).toHaveLength(926);
  });

  it("takes a phone's word that it showed what it was sent, and nothing else", async () => {
    const channel = await open();
    const [phone, other] = [takeUp(channel), takeUp(channel, "other", "Bob")];
    await channel.send(told(), never);
    expect(channel.phones?.shown(other.id, message.key)).toBe(false);
    expect(channel.phones?.shown(phone.id, "m99-never")).toBe(false);
    expect(heard.receipts).toEqual([]);
    now_s += 2;
    expect(channel.phones?.shown(phone.id, message.key)).toBe(true);
    expect(heard.receipts).toEqual([{ key: message.key, delivered: true, reason: null }]);
    expect(channel.phones?.all().find(({ id }) => id === phone.id)).toMatchObject({
      ...{ took_s: now_s - 2, shown_s: now_s },
    });
  });
});

describe("undercroft alarms test", () => {
  it("reaches a person's phones, and says so; without any it says what to do", async () => {
    const site = join(folder, "site.yaml");
    writeFileSync(
      site,
      `basin: { shape: round, diameter: 18 in }
server: { port: ${await freePort()} }
alarms:
  channels: [{ kind: web-push, name: phones, email: ann@example.org, ca: ${join(certificates, "push-ca.pem")} }]
  contacts:
    - { name: Ann, reach: [{ by: phones, to: Ann }] }
    - { name: Bob, reach: [{ by: phones, to: Bob }] }
`,
    );
    const test = async (contact: string) => {
      const main = join(import.meta.dirname, "../../daemon/main.ts");
      const run = spawn(process.execPath, [main, "alarms", "test", contact, "--site", site], {
        stdio: ["ignore", "pipe", "pipe"],
      });
      const [said, [status]] = await Promise.all([text(run.stdout), once(run, "exit")]);
      return { said, status };
    };
    expect(await test("Bob")).toEqual({
      said: 'Bob by phones: not sent: no phone of Bob is told: open the page on it and press "Tell this phone" under Alarms\n',
      status: 2,
    });
    const phone = takeUp(await open());
    expect(await test("Ann")).toEqual({ said: "Ann by phones: handed over\n", status: 0 });
    expect(notes(phone)).toMatchObject([{ title: "Unnamed site: Test of the alarms", canAnswer: false }]);
  });
});

describe("the phones beside the record", () => {
  const path = () => join(folder, "site.phones.json");

  it("and their keys are made once, readable to their owner alone", async () => {
    const first = (await open()).phones?.publicKey;
    expect(statSync(path()).mode & 0o777).toBe(0o600);
    const channel = await open();
    expect(channel.phones?.publicKey).toBe(first);
    const phone = takeUp(channel);
    expect(statSync(path()).mode & 0o777).toBe(0o600);
    expect(await (await open()).send(told(), never)).toEqual({ is: "handed-over" });
    expect(notes(phone)).toHaveLength(1);
  });

  it("are whole after a power cut in the middle of writing them", async () => {
    const phone = takeUp(await open());
    writeFileSync(`${path()}.next`, readFileSync(path(), "utf8").slice(0, 100));
    const channel = await open();
    expect(channel.phones?.all()).toMatchObject([{ id: phone.id }]);
    takeUp(channel, "another");
    expect((await open()).phones?.all()).toHaveLength(2);
  });

  it("stand aside where they are damaged, and phones are taken up anew", async () => {
    const before = takeUp(await open());
    writeFileSync(path(), readFileSync(path(), "utf8").slice(0, 200));
    const channel = await open();
    expect(heard.log[0]).toMatch(
      /site\.phones\.json cannot be used and stands aside as .*each phone has to be taken up/,
    );
    expect(readdirSync(folder)).toEqual(["site.phones.json", "site.phones.json.aside-2026-03-04T00-00-00"]);
    expect(channel.phones?.all()).toEqual([]);
    // The old subscription is bound to the old key.
    channel.phones?.add({ to: "Ann", name: "phone" }, before.subscription, null);
    expect(await channel.send(told(), never)).toMatchObject({
      ...{ is: "failed", again: false, reason: expect.stringContaining("refuses our signature (403)") },
    });
  });

  it("take no subscription that is none", async () => {
    const { phones } = await open();
    const { subscription } = service.subscribe("");
    const add = (changes: { endpoint?: string; keys?: Partial<typeof subscription.keys> }) => () =>
      phones?.add(
        { to: "Ann", name: "phone" },
        { endpoint: changes.endpoint ?? subscription.endpoint, keys: { ...subscription.keys, ...changes.keys } },
        null,
      );
    expect(add({ endpoint: "http://127.0.0.1/x" })).toThrow("endpoint: expected an https address");
    expect(add({ endpoint: "nothing" })).toThrow('found "nothing"');
    expect(add({ keys: { auth: "c2hvcnQ" } })).toThrow("keys.auth: expected 16 bytes in base64url");
    expect(add({ keys: { p256dh: `B${"A".repeat(86)}` } })).toThrow("keys.p256dh: expected a point of P-256");
    const compressed = ECDH.convertKey(subscription.keys.p256dh, "prime256v1", "base64url", "base64url", "compressed");
    expect(add({ keys: { p256dh: String(compressed) } })).toThrow("keys.p256dh: expected a point of P-256, 65 bytes");
    expect(phones?.all()).toEqual([]);
  });

  it("are at most 20 of one person", async () => {
    const channel = await open();
    for (let i = 0; i < 20; i++) takeUp(channel, `phone ${i}`);
    expect(() => takeUp(channel)).toThrow("at most 20 phones of one person");
    const [first] = channel.phones?.all() ?? [];
    expect(channel.phones?.remove(first?.id ?? "")).toBe(true);
    expect(channel.phones?.remove(first?.id ?? "")).toBe(false);
    takeUp(channel);
  });
});
