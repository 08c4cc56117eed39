// Phones told by a clock that the test turns, through a push service of the test's own.

import { mkdtempSync, readFileSync, rmSync, statSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from "vitest";
import type { Condition, OverviewRow } from "../../../../daemon/central/central-types.ts";
import { type PhoneTeller, tellPhones } from "../../../../daemon/central/phones/tell-phones.ts";
import { placeOf } from "../../../../daemon/central/urgency.ts";
import { makeCertificates } from "../../../real/certificates.ts";
import { type Browser, type PushService, startPushService } from "../../../real/push/push-service.ts";
import { type TurnedClock, turnedClock } from "../../alarms/turned-clock.ts";

const start_s = 1_795_700_000;
let certificates: string;
let pair: ReturnType<typeof makeCertificates>;
let folder: string;
let service: PushService;
let clock: TurnedClock;
let teller: PhoneTeller;
let log: string[];

beforeAll(() => {
  certificates = mkdtempSync(join(tmpdir(), "undercroft-tell-"));
  pair = makeCertificates(certificates, "push");
});
afterAll(() => rmSync(certificates, { recursive: true, force: true }));
beforeEach(async () => {
  folder = mkdtempSync(join(tmpdir(), "undercroft-tell-"));
  service = await startPushService(pair);
  clock = turnedClock(start_s);
  start();
});
afterEach(async () => {
  await teller.close();
  await service.close();
  rmSync(folder, { recursive: true, force: true });
});

const file = () => join(folder, "phones.json");

function start(): void {
  log = [];
  teller = tellPhones({
    phones: { email: "anna@example.org", file: file(), tellAfter_s: 60, ca: null },
    ...{ viewName: "Riverside round", ca: readFileSync(pair.ca), now_s: clock.now_s, schedule: clock.schedule },
    maySee: (person, basin) => person === "anna" || basin.startsWith("elm"),
    log: (line) => log.push(line),
  });
}

function takeUp(to: string): Browser {
  const browser = service.subscribe(teller.book.keys.publicKey);
  teller.book.add({ to, name: "phone" }, browser.subscription);
  return browser;
}

/** Second by second, each with what it sends. */
async function pass(span_s: number): Promise<void> {
  for (const end_s = clock.now_s() + span_s; clock.now_s() < end_s; ) {
    await clock.turnTo(clock.now_s() + 1);
    await teller.idle();
  }
}

function see(name: string, ...kinds: string[]): void {
  const conditions = (kinds.length === 0 ? ["well"] : kinds).map(
    (kind): Condition => ({
      kind,
      ...placeOf(kind),
      since_s: null,
      advice: kind === "silent" ? null : `See to ${kind}.`,
    }),
  );
  const nothing = { group: null, customer: null, serviceDue_s: null, connected: null, clockOff_s: null };
  const place = name === "elm-12" ? "cellar, door on the left" : null;
  const row = { name, title: `House ${name}`, place, contact: null, enrolled: true, invented: false, conditions };
  teller.see({ ...nothing, ...row } as unknown as OverviewRow);
}

const notes = ({ messages }: Browser) => messages.map(({ text }) => JSON.parse(text));

describe("phones of the central view", () => {
  it("are told once of what lasts, urgent first, and that it is over", async () => {
    const anna = takeUp("anna");
    await pass(1);
    see("elm-12", "high-water", "pump-worn");
    await pass(59);
    expect(notes(anna)).toEqual([]);
    await pass(2);
    expect(notes(anna)).toMatchObject([
      { title: "House elm-12: High water", text: "See to high-water.\ncellar, door on the left", stays: true },
    ]);
    expect(notes(anna)[0]).toMatchObject({ url: "basins/elm-12/", canAnswer: false });
    expect(anna.messages[0]?.headers).toMatchObject({ urgency: "high", ttl: "43200" });
    await pass(600);
    expect(service.asked).toBe(1);
    see("elm-12");
    await pass(59);
    expect(service.asked).toBe(1);
    await pass(2);
    expect(notes(anna)).toMatchObject([{ title: "House elm-12: over: high water", stays: false }]); // in its place
    expect(anna.messages[0]?.headers.urgency).toBe("normal");
    await pass(600);
    expect(service.asked).toBe(2);
  });

  it("are told of a storm over many basins in one notice, and of the rest half a minute later", async () => {
    const anna = takeUp("anna");
    await pass(1);
    for (let n = 1; n <= 5; n++) see(`mill-${n}`, n === 4 ? "high-water" : "silent");
    await pass(10);
    see("mill-6", "power-lost");
    await pass(52);
    expect(notes(anna)).toMatchObject([
      {
        ...{ title: "House mill-4: High water, and 4 more", url: "./", stays: true },
        text: "House mill-4: High water\nHouse mill-1: Silent\nHouse mill-2: Silent\nand 2 more",
      },
    ]);
    await pass(25);
    expect(notes(anna)).toHaveLength(1);
    await pass(5);
    expect(notes(anna)[1]).toMatchObject({ title: "House mill-6: No power" });
  });

  it("are told of what their owner may see, and of nothing that stood before they were taken up", async () => {
    see("elm-12", "high-water");
    await pass(1);
    const [anna, office] = [takeUp("anna"), takeUp("office")];
    await pass(1);
    see("mill-3", "silent");
    see("elm-14", "silent");
    await pass(120);
    expect(notes(anna).map(({ title }) => title)).toEqual(["House mill-3: Silent, and 1 more"]);
    expect(notes(office).map(({ title }) => title)).toEqual(["House elm-14: Silent"]);
    expect(anna.messages[0]?.headers.urgency).toBe("normal");
  });

  it("are not told again after a restart, and then that it is over", async () => {
    const anna = takeUp("anna");
    await pass(1);
    see("elm-12", "high-water");
    await pass(62);
    expect(statSync(`${file()}.told`).mode & 0o777).toBe(0o600);
    await teller.close();
    start();
    see("elm-12", "not-heard-yet");
    await pass(100);
    see("elm-12", "high-water");
    await pass(100);
    expect(service.asked).toBe(1);
    see("elm-12");
    await pass(62);
    expect(notes(anna)).toMatchObject([{ title: "House elm-12: over: high water" }]);
  });

  it("whose browser has got another subscription miss nothing, and hear nothing twice", async () => {
    const before = takeUp("anna");
    await pass(1);
    see("elm-12", "high-water");
    await pass(62);
    see("elm-12", "high-water", "power-lost");
    await pass(30);
    const after = service.subscribe(teller.book.keys.publicKey);
    const [phone] = teller.book.phones();
    if (phone !== undefined) teller.renew(phone, after.subscription);
    await pass(60);
    expect(notes(after)).toMatchObject([{ title: "House elm-12: No power" }]);
    see("elm-12", "power-lost");
    await pass(62);
    expect(notes(after)).toContainEqual(expect.objectContaining({ title: "House elm-12: over: high water" }));
    expect(notes(before)).toMatchObject([{ title: "House elm-12: High water" }]);
  });

  it("are told again rather than never where it was lost who was told", async () => {
    const anna = takeUp("anna");
    await pass(1);
    see("elm-12", "high-water");
    await pass(62);
    await teller.close();
    writeFileSync(`${file()}.told`, "[{");
    start();
    await pass(1);
    expect(log[0]).toMatch(/phones\.json\.told: cannot be used/);
    see("elm-12", "high-water");
    await pass(62);
    expect([service.asked, notes(anna).length]).toEqual([2, 1]); // the second takes the first one's place
  });

  it("are tried again with growing pauses for as long as it is true, and no longer", async () => {
    const anna = takeUp("anna");
    await pass(1);
    service.answers = (response) => response.writeHead(503).end();
    see("elm-12", "high-water");
    await pass(61); // and then after 5, 10, 20 s
    expect(service.asked).toBe(1);
    await pass(36);
    expect(service.asked).toBe(4);
    const [phone] = teller.book.phones();
    expect(teller.sender.problemOf(phone?.id ?? "")).toContain("answers 503");
    see("elm-12");
    service.answers = null;
    await pass(600);
    expect([service.asked, notes(anna)]).toEqual([4, []]);
  });

  it("are tested by their owner, and not again at once", async () => {
    const [anna, office] = [takeUp("anna"), takeUp("office")];
    teller.test("anna");
    await teller.idle();
    expect(() => teller.test("anna")).toThrow("test: expected 30 s between two tests, found 0 s");
    teller.test("office");
    await pass(30);
    expect([notes(anna).length, notes(office).length, service.asked]).toEqual([1, 1, 2]);
    teller.test("anna");
    await teller.idle();
    expect(service.asked).toBe(3);
  });

  it("that are gone are told no more, and hold nothing up", async () => {
    const [anna, office] = [takeUp("anna"), takeUp("office")];
    await pass(1);
    anna.leave("remembered");
    see("elm-12", "high-water");
    await pass(62);
    expect(notes(office)).toHaveLength(1);
    expect(teller.book.phones().find(({ to }) => to === "anna")?.ended?.reason).toContain("knows it no more (410)");
    await pass(200);
    expect(service.asked).toBe(2);
  });

  it("are not told of strangers, nor of what is invented", async () => {
    takeUp("anna");
    await pass(1);
    const row = { name: "x", title: "x", place: null, contact: null, enrolled: false, invented: false };
    const conditions = [{ kind: "high-water", ...placeOf("high-water"), since_s: null, advice: null }];
    teller.see({ ...row, conditions } as unknown as OverviewRow);
    teller.see({ ...row, enrolled: true, invented: true, conditions } as unknown as OverviewRow);
    await pass(100);
    expect(service.asked).toBe(0);
  });
});
