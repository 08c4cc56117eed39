import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { changedTable } from "../../../analysis/alarms/changed-table.ts";
import { alarmDesk } from "../../../daemon/alarms/alarm-desk.ts";
import { alarmTrouble } from "../../../daemon/alarms/alarm-trouble.ts";
import { nobodyTold } from "../../../daemon/alarms/alarms-config.ts";
import type { AlarmsViewParts } from "../../../daemon/alarms/alarms-view.ts";
import { houseTime } from "../../../daemon/alarms/house-time.ts";
import type { MessageRow } from "../../../daemon/alarms/outbox/message-row.ts";
import { openServiceBook } from "../../../daemon/alarms/service-book.ts";
import type { AlarmDeed } from "../../../daemon/server/alarms-types.ts";
import type { SiteInfo } from "../../../daemon/server/api-types.ts";
import { buildServer } from "../../../daemon/server/build-server.ts";
import { alarmsAnswer } from "../../../daemon/server/openapi/alarms-schemas.ts";
import type { Server } from "../../../daemon/server/server-parts.ts";
import { finding } from "../../analysis/alarms/alarm-input.ts";
import { type House, house, neighbour, owner } from "../alarms/told-by-hand.ts";
import { testParts } from "./parts.ts";

const start_s = 1_700_000_000;
let folder: string;
let at: House;
let server: Server;
let view: AlarmsViewParts;
const headers = { host: "localhost" };

beforeEach(async () => {
  folder = mkdtempSync(join(tmpdir(), "alarms-routes-"));
  const config = {
    ...nobodyTold,
    contacts: [owner, neighbour],
    call: [{ contacts: ["owner", "neighbour"], after_s: 0 }],
    pageAddress: "http://localhost",
  };
  at = house(join(folder, "alarms.sqlite"), config);
  view = {
    ...{ service: at.service, definitions: changedTable({}), config, channels: at.channels, now_s: at.clock.now_s },
    services: openServiceBook(at.service.outbox, config, { house: houseTime("Asia/Tokyo"), now_s: at.clock.now_s }),
    heartbeat: () => ({ host: "beat.example.org", every_s: 300, answered_s: start_s, problem: "no answer in 15 s" }),
  };
  server = buildServer(testParts({ alarms: alarmDesk(view, at.service) }));
  await at.see(start_s, [finding("high-water", start_s)]);
  await at.clock.turnTo(start_s + 61);
});
afterEach(async () => {
  await server.close();
  await at.close();
  rmSync(folder, { recursive: true });
});

const post = (url: string, payload: object) => server.inject({ method: "POST", url, headers, payload });

describe("the page's way to the alarms", () => {
  it("shows every alarm, contact and message as it is described", async () => {
    const answer = await server.inject({ url: "/api/alarms", headers });
    expect(alarmsAnswer.safeParse(answer.json()).error?.message).toBeUndefined();
    expect(answer.json()).toMatchObject({
      contacts: [
        { name: "owner", ways: [{ by: "modem", to: "…100", proven_s: start_s + 60 }] },
        { name: "neighbour", ways: [{ by: "mail", to: "n…@example.org" }] },
      ],
      performance: { count: 1 },
    });
  });

  it("shows of the calls that are ahead each contact's next", async () => {
    const messages = async () =>
      ((await server.inject({ url: "/api/alarms", headers })).json().messages as MessageRow[]).map(
        ({ kind, contact, due_s }) => `${kind} ${contact} ${due_s - start_s}`,
      );
    await server.close();
    await at.close();
    const config = { ...view.config, callAgain: { after_s: 900, times: 5 } };
    at = house(join(folder, "again.sqlite"), config);
    view = { ...view, service: at.service, config };
    server = buildServer(testParts({ alarms: alarmDesk(view, at.service) }));
    await at.see(start_s, [finding("high-water", start_s)]);
    await at.clock.turnTo(start_s + 61);
    const begun = ["raised neighbour 60", "raised owner 60"];
    expect(await messages()).toEqual(["again neighbour 960", "again owner 960", ...begun]);
    at.service.acknowledge("high-water", "Ann");
    expect(await messages()).toEqual(begun);
  });

  it("counts as stale what stood for more than a day, and not what its cause has said since", async () => {
    const stuck = finding("float-stuck-off", start_s);
    await at.see(start_s + 100, [stuck]);
    await at.see(start_s + 200, [stuck, finding("power-lost", start_s + 100)]);
    await at.see(start_s + 300, [finding("power-lost", start_s + 100)]);
    await at.see(start_s + 3 * 86_400, []);
    await at.see(start_s + 3 * 86_400 + 600, []);
    const { performance } = (await server.inject({ url: "/api/alarms", headers })).json();
    // The supply alone; the high water ended on the first day.
    expect(performance).toMatchObject({ count: 3, mostStale: 1, mostIn10min: 3 });
  });

  it("acknowledges, shelves for a time that the priority allows, and takes out of service", async () => {
    const highWater = (answer: { json(): { alarms: { name: string }[] } }) =>
      answer.json().alarms.find(({ name }) => name === "high-water");
    const acknowledged = await post("/api/alarms/act", { alarm: "high-water", act: "acknowledge", by: "Ann" });
    expect(highWater(acknowledged)).toMatchObject({ state: "acknowledged", acknowledged: { by: "Ann" } });
    const shelved = await post("/api/alarms/act", { alarm: "high-water", act: "shelve", for_s: 3600 });
    expect(highWater(shelved)).toMatchObject({ state: "shelved", shelvedUntil_s: start_s + 61 + 3600 });
    const why = { alarm: "high-water", act: "shelve", for_s: 8 * 3600, by: "Ann", reason: " the plumber is here " };
    expect(highWater(await post("/api/alarms/act", why))).toMatchObject({
      shelved: { by: "Ann", reason: "the plumber is here" },
      longestShelf_s: 8 * 3600,
    });
    const tooLong = await post("/api/alarms/act", { alarm: "high-water", act: "shelve", for_s: 90_000 });
    expect(tooLong.json()).toEqual({
      error: "shelve high-water: expected more than 0 and at most 8 h from now, found 25 h",
    });
    const out = await post("/api/alarms/act", { alarm: "high-water", act: "out-of-service" });
    expect(highWater(out)).toMatchObject({ state: "out-of-service" });
    expect((await post("/api/alarms/act", { alarm: "high-tide", act: "reset" })).statusCode).toBe(400);
  });

  it("says what is told that the board lives, and what keeps alarms from people", async () => {
    expect((await server.inject({ url: "/api/alarms", headers })).json().heartbeat).toEqual({
      ...{ host: "beat.example.org", every_s: 300, answered_s: start_s, problem: "no answer in 15 s" },
    });
    expect(alarmTrouble(view)).toMatchObject({ unreached: [], channels: [], undelivered: 0, cardProblem: null });
    expect(alarmTrouble(view).heartbeatProblem).toBe("no answer in 15 s");
  });

  it("names whom no channel reaches, and counts what reached nobody", async () => {
    at.trouble("mail", "mail.example.org refuses the password");
    at.answer("mail", { is: "failed", reason: "refused", again: false });
    await at.see(start_s + 100, [finding("high-water", start_s), finding("power-lost", start_s - 500)]);
    await at.clock.turnTo(start_s + 300);
    expect(alarmTrouble(view)).toMatchObject({
      unreached: ["neighbour"],
      channels: [{ name: "mail", problem: "mail.example.org refuses the password" }],
      undelivered: 1,
    });
  });

  it("enters that basin and pump were serviced, on the day that it is there, and reminds half a year later", async () => {
    const before = await server.inject({ url: "/api/alarms", headers });
    const none = { last: null, entered: false, by: null, due: null, due_s: null, today: "2023-11-15" };
    expect(before.json().service).toEqual(none);
    const answer = await post("/api/alarms/serviced", { by: "Ann" });
    const { last, by, due_s } = answer.json().service;
    expect([last, by]).toEqual(["2023-11-15", "Ann"]); // 14 November, 22:14 UTC
    expect(new Date(due_s * 1000).toISOString()).toBe("2024-05-15T00:00:00.000Z"); // 182 days later, nine in the morning
    expect((await post("/api/alarms/serviced", { when: "now" })).statusCode).toBe(400);
  });

  it("takes back a service that was entered by a slip, and the one before it is the last again", async () => {
    const serviced = async (path: string, body: object) => {
      const answer = await post(`/api/alarms/serviced${path}`, body);
      return answer.statusCode === 200 ? answer.json().service.last : answer.json().error;
    };
    expect(await serviced("", { by: "Ann", day: "2023-05-02" })).toBe("2023-05-02");
    expect(await serviced("", { by: "Ben" })).toBe("2023-11-15");
    expect(await serviced("", { by: "Ben" })).toBe("2023-11-15"); // pressed twice is done once
    expect(await serviced("/undo", { by: "Ben", day: "2023-11-15" })).toBe("2023-05-02");
    expect(await serviced("/undo", { by: "Ben", day: "2023-11-15" })).toBe(
      "day: expected one that was entered, found 2023-11-15",
    );
    expect(await serviced("", { day: "2023-11-16" })).toBe("day: expected 2023-11-15 or one before, found 2023-11-16");
    const { service, done, alarms } = (await server.inject({ url: "/api/alarms", headers })).json();
    expect(service).toMatchObject({ last: "2023-05-02", entered: true, by: "Ann" });
    const deeds = [
      ["service-undone", "Ben", "2023-11-15"],
      ["serviced", "Ben", "2023-11-15"],
      ["serviced", "Ann", "2023-05-02"],
    ];
    const shown = (all: AlarmDeed[]) => all.map(({ kind, by, reason }) => [kind, by, reason]);
    expect(shown(done).toSorted()).toEqual(deeds.toSorted());
    expect(shown(alarms.find(({ name }: { name: string }) => name === "service-due").history)).toEqual(deeds);
  });

  it("keeps what was entered by a version that kept the last alone", async () => {
    at.service.outbox.setNote("last-service", "2023-05-02");
    at.service.outbox.setNote("last-service-by", "Ann");
    expect(view.services.view()).toMatchObject({ last: "2023-05-02", entered: true, by: "Ann" });
    view.services.takeBack("Ben", "2023-05-02");
    expect(view.services.view()).toMatchObject({ last: null, entered: false, due_s: null });
  });

  it("tests a contact, and says when there is none of that name", async () => {
    await post("/api/alarms/test", { contact: "neighbour" });
    await at.clock.turnTo(start_s + 62);
    expect(at.sent.at(-1)).toMatchObject({ by: "mail", subject: "Hill House: Test of the alarms" });
    expect((await post("/api/alarms/test", { contact: "nobody" })).json()).toEqual({
      error: "test: expected a contact and one of its channels, found nobody",
    });
  });

  it("acknowledges by a link's button, and not by looking at it", async () => {
    const url = new URL(at.sent[0]?.link ?? "").pathname;
    const look = await server.inject({ url, headers });
    expect(look.body).toContain("I'll see to it");
    expect(at.service.alarms().find(({ name }) => name === "high-water")?.state).toBe("unacknowledged");
    const form = { ...headers, "content-type": "application/x-www-form-urlencoded" };
    const pressed = await server.inject({ method: "POST", url, headers: form, payload: "" });
    expect(pressed.body).toContain("nobody further is called");
    expect(at.service.alarms().find(({ name }) => name === "high-water")?.state).toBe("acknowledged");
    expect((await server.inject({ url: `${url}x`, headers })).statusCode).toBe(404);
  });

  it("acknowledges by a link all that its message told of, by whom it was sent to", async () => {
    await at.see(start_s + 100, [finding("high-water", start_s), finding("power-lost", start_s + 70)]);
    at.answer("modem", { is: "failed", reason: "no network", again: true });
    await at.clock.turnTo(start_s + 300);
    at.answer("modem", { is: "delivered" });
    await at.see(start_s + 700, []);
    await at.see(start_s + 2000, [finding("power-lost", start_s + 1800), finding("pump-worn", start_s + 900)]);
    await at.clock.turnTo(start_s + 2200);
    const { link, subject } = at.sent.filter(({ by }) => by === "modem").at(-1) ?? { link: "", subject: "" };
    expect(subject).toBe("Hill House: Pump moves less than it did, then SUPPLY LOST");
    const form = { ...headers, "content-type": "application/x-www-form-urlencoded" };
    const url = new URL(link ?? "").pathname;
    expect((await server.inject({ url, headers })).body).toContain("Pump moves less than it did, then SUPPLY LOST");
    await server.inject({ method: "POST", url, headers: form, payload: "" });
    const answered = at.service.alarms().filter(({ acknowledged }) => acknowledged?.by === "owner");
    expect(answered.map(({ name }) => name)).toEqual(["supply-lost", "pump-weaker"]);
    expect((await server.inject({ url, headers })).body).toContain("owner is seeing to it");
  });

  it("is closed where nobody is called, and says why", async () => {
    const parts = testParts();
    const asked = async (siteInfo: Partial<SiteInfo>) => {
      const server = buildServer({ ...parts, siteInfo: { ...parts.siteInfo, ...siteInfo } });
      const answer = await server.inject({ url: "/api/alarms", headers });
      await server.close();
      return [answer.statusCode, answer.json().error];
    };
    expect(await asked({ playing: "replay" })).toEqual([
      409,
      "alarms: what is played is not true now, and nobody is called for it",
    ]);
    expect(await asked({ playing: null })).toEqual([
      409,
      "alarms: this record is only looked at: its site file names neither sources to read nor contacts to call",
    ]);
    expect(await asked({ playing: null, overview: "../../" })).toEqual([
      409,
      "alarms: whom this board calls, and for what, stands on its own page, not in the view from afar",
    ]);
  });
});
