// The central view's routes over HTTP, with boards of our invention: who sees what, what is heard as it happens, and one
// basin's page from afar.

import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { hashPassword } from "../../../daemon/central/access/password.ts";
import { sessionLasts_s } from "../../../daemon/central/access/session.ts";
import type { OverviewAnswer } from "../../../daemon/central/central-types.ts";
import { systemClock } from "../../../daemon/clock.ts";
import { openFinding, siteInfo } from "../../real/central-boards.ts";
import { until } from "../../real/until.ts";
import { hearEvents } from "./hear-events.ts";
import { type Round, startRound } from "./round.ts";

const basins = [
  { name: "elm-12", title: "12 Elm Street", customer: "lakeside" },
  { name: "elm-14", title: "14 Elm Street", customer: "lakeside" },
  { name: "mill-3", title: "3 Mill Lane", customer: "old-town" },
  { name: "depot", title: "Depot" },
];
const customers = new Map([
  ["lakeside", "Lakeside Homes"],
  ["old-town", "Old Town Rentals"],
]);

let round: Round;
const cookies: Record<string, string> = {};

beforeAll(async () => {
  const password = await hashPassword("a dry cellar");
  const logins = [
    { name: "anna", password, customer: null },
    { name: "lake office", password, customer: "lakeside" },
    { name: "old town", password, customer: "old-town" },
  ];
  round = await startRound({ basins, customers, logins });
  for (const { name } of basins) {
    round.keep(name, "site", { ...siteInfo, site: { ...siteInfo.site, name } });
    round.say(name);
  }
  round.say("stranger");
  for (const { name } of logins) {
    const answer = await logIn(name, "a dry cellar");
    cookies[name] = answer.headers.get("set-cookie")?.split(";")[0] ?? "";
  }
});
afterAll(() => round.stop());

function logIn(name: string, password: string): Promise<Response> {
  return fetch(`${round.url}api/session`, {
    method: "POST",
    headers: { "content-type": "application/json" },
    body: JSON.stringify({ name, password }),
  });
}

function get(path: string, who?: string): Promise<Response> {
  return fetch(round.url + path, { headers: { cookie: (who && cookies[who]) ?? "" }, redirect: "manual" });
}

const namesSeenBy = async (who: string) => {
  const answer: OverviewAnswer = await (await get("api/overview", who)).json();
  return answer.rows.map(({ name }) => name).sort();
};

describe("logging in", () => {
  it("gives a cookie that scripts cannot read and other sites cannot send", async () => {
    const answer = await logIn("anna", "a dry cellar");
    expect(answer.status).toBe(200);
    expect(await answer.json()).toMatchObject({ login: { name: "anna", customer: null }, required: true });
    expect(answer.headers.get("set-cookie")).toMatch(
      /^undercroft_session=[^;]+; Path=\/; HttpOnly; SameSite=Strict; Max-Age=\d+$/,
    );
  });

  it("says the same of a wrong name and a wrong password", async () => {
    const [name, password] = await Promise.all([logIn("nobody", "a dry cellar"), logIn("anna", "a wet cellar")]);
    expect([name.status, password.status]).toEqual([401, 401]);
    expect(await name.json()).toEqual(await password.json());
  });

  it("says who is logged in, and logs out", async () => {
    expect(await (await get("api/session")).json()).toMatchObject({ login: null, required: true });
    expect(await (await get("api/session", "lake office")).json()).toMatchObject({
      login: { name: "lake office", customer: "Lakeside Homes" },
    });
    const out = await fetch(`${round.url}api/session`, { method: "DELETE", headers: { cookie: cookies.anna ?? "" } });
    expect(out.headers.get("set-cookie")).toContain("Max-Age=0");
  });

  it("makes whoever tries many passwords wait, and says how long", async () => {
    const own = await startRound({
      logins: [{ name: "anna", password: await hashPassword("a dry cellar"), customer: null }],
    });
    const attempt = (password: string) =>
      fetch(`${own.url}api/session`, {
        method: "POST",
        headers: { "content-type": "application/json" },
        body: JSON.stringify({ name: "anna", password }),
      });
    for (let n = 0; n < 5; n++) expect((await attempt(`guess ${n}`)).status).toBe(401);
    const refused = await attempt("a dry cellar");
    expect(refused.status).toBe(429);
    expect(Number(refused.headers.get("retry-after"))).toBeGreaterThan(0);
    expect(await refused.json()).toMatchObject({ error: expect.stringMatching(/^log-in: too many .* in \d+ s$/) });
    await own.stop();
  });
});

describe("who sees what", () => {
  it("is nothing without a log-in", async () => {
    const ofBasins = ["elm-12/api/state", "elm-12/api/events", "no-such-basin/api/state"].map((of) => `basins/${of}`);
    for (const path of ["api/overview", "api/overview/events", ...ofBasins]) {
      expect([path, (await get(path)).status]).toEqual([path, 401]);
    }
    const page = await get("basins/elm-12/");
    expect([page.status, page.headers.get("location")]).toEqual([302, "/"]);
  });

  it("is everything for staff, boards that nobody enrolled too", async () => {
    expect(await namesSeenBy("anna")).toEqual(["depot", "elm-12", "elm-14", "mill-3", "stranger"]);
  });

  it("is a customer's own basins for a customer", async () => {
    expect(await namesSeenBy("lake office")).toEqual(["elm-12", "elm-14"]);
    expect(await namesSeenBy("old town")).toEqual(["mill-3"]);
  });

  it("is so on every route of a basin too: another's does not exist", async () => {
    const paths = ["", "api/site", "api/state", "api/level", "api/cycles", "api/inflow", "api/findings", "api/events"];
    for (const path of paths) {
      expect([path, (await get(`basins/mill-3/${path}`, "lake office")).status]).toEqual([path, 404]);
      expect([path, (await get(`basins/stranger/${path}`, "lake office")).status]).toEqual([path, 404]);
    }
    const [others, nobodys] = await Promise.all([
      get("basins/mill-3/api/state", "lake office"),
      get("basins/mill-4/api/state", "lake office"),
    ]);
    expect(await others.text()).toBe((await nobodys.text()).replace("mill-4", "mill-3"));
    expect((await get("basins/elm-12/api/state", "lake office")).status).toBe(200);
  });

  it("does not go round that by another way of writing an address", async () => {
    const ways = [
      "basins/elm-12/../mill-3/api/state",
      "basins/elm-12/%2e%2e/mill-3/api/state",
      "basins//mill-3/api/state",
      "basins/MILL-3/api/state",
      "basins/mill%2D3/api/state",
    ];
    for (const way of ways) expect([way, (await get(way, "lake office")).status]).toEqual([way, 404]);
  });

  it("is one's own basin, however its address is written", async () => {
    expect((await get("basins/elm%2D12/api/state", "lake office")).status).toBe(200);
    expect((await get("basins/elm-12?x=%2F", "lake office")).headers.get("location")).toBe("/basins/elm-12/");
    const odd = await get("basins/%0d%0aset-cookie:x", "lake office");
    expect([odd.status, odd.headers.get("location")]).toEqual([302, "/basins/%0D%0Aset-cookie%3Ax/"]);
  });

  it("is so in what is heard as it happens", async () => {
    const [staff, lake] = await Promise.all([
      hearEvents(`${round.url}api/overview/events`, cookies.anna),
      hearEvents(`${round.url}api/overview/events`, cookies["lake office"]),
    ]);
    round.finding("mill-3", openFinding("high-water", "critical"));
    round.finding("elm-12", openFinding("short-cycling", "warning"));
    await until("both rows", () => staff.rows().has("mill-3") && lake.rows().has("elm-12"));
    expect(staff.rows().get("mill-3")?.conditions[0]?.kind).toBe("high-water");
    expect(lake.rows().get("elm-12")?.conditions[0]?.kind).toBe("short-cycling");
    expect(lake.text()).not.toContain("mill-3");
    expect(lake.text()).not.toContain("stranger");
    staff.close();
    lake.close();
  });
});

describe("what is heard as it happens", () => {
  it("leaves room for others, however much one customer listens", async () => {
    const path = `${round.url}api/overview/events`;
    const stop = new AbortController();
    const listen = (who: string) => fetch(path, { headers: { cookie: cookies[who] ?? "" }, signal: stop.signal });
    const lines = await Promise.all(Array.from({ length: 60 }, () => listen("old town")));
    expect(lines.filter(({ status }) => status === 200)).toHaveLength(40);
    expect(await lines.find(({ status }) => status === 503)?.json()).toEqual({
      error: "events: as many pages listen as can be served; close one of them",
    });
    expect((await listen("anna")).status).toBe(200);
    expect((await listen("lake office")).status).toBe(200);
    stop.abort();
  });

  it("ends with the log-in, on a basin's page too", async () => {
    let turned_s = 0;
    const clock = { ...systemClock(), now_s: () => Date.now() / 1000 + turned_s };
    const logins = [{ name: "anna", password: await hashPassword("a dry cellar"), customer: null }];
    const own = await startRound({ basins: [{ name: "depot" }], logins, central: { clock } });
    own.keep("depot", "site", siteInfo);
    const answer = await fetch(`${own.url}api/session`, {
      method: "POST",
      headers: { "content-type": "application/json" },
      body: JSON.stringify({ name: "anna", password: "a dry cellar" }),
    });
    const cookie = answer.headers.get("set-cookie")?.split(";")[0] ?? "";
    turned_s = sessionLasts_s - 1.5;
    const events = await fetch(`${own.url}basins/depot/api/events`, { headers: { cookie } });
    expect(events.status).toBe(200);
    await expect(events.text()).rejects.toThrow();
    await own.stop();
  });
});

describe("one basin's page from afar", () => {
  it("answers as the board does, and says where the overview is", async () => {
    const site = await (await get("basins/elm-12/api/site", "anna")).json();
    expect(site).toMatchObject({ site: { name: "elm-12" }, overview: "../../" });
    round.say("elm-12", { level_m: 0.31 });
    const state = await (await get("basins/elm-12/api/state", "anna")).json();
    expect(state.situation.level_m).toBe(0.31);
    expect(state.now_s).toBeCloseTo(Date.now() / 1000, 0);
  });

  it("hears what its board says", async () => {
    const events = await hearEvents(`${round.url}basins/elm-14/api/events`, cookies["lake office"]);
    round.say("elm-14", { level_m: 0.42 });
    await until("the level", () => events.text().includes('"level_m":0.42'));
    round.finding("elm-14", openFinding("high-water", "critical"));
    await until("the finding", () => events.text().includes("event: finding"));
    events.close();
  });

  it("tells the board's own time where its clock is wrong", async () => {
    const ahead_s = 86_400;
    for (const step of [0, 1]) round.say("depot", { time_s: Date.now() / 1000 + ahead_s + step });
    const state = await (await get("basins/depot/api/state", "anna")).json();
    expect(state.now_s - Date.now() / 1000).toBeCloseTo(ahead_s, -1);
    const { rows }: OverviewAnswer = await (await get("api/overview", "anna")).json();
    expect(rows.find(({ name }) => name === "depot")).toMatchObject({ clockOff_s: ahead_s });
  });

  it("says what is missing while the board has not told what it is", async () => {
    const answer = await get("basins/stranger/api/state", "anna");
    expect(answer.status).toBe(503);
    expect(await answer.json()).toEqual({
      error: expect.stringContaining("stranger: the board has not said what it is"),
    });
  });

  it("turns to the new site when the board is given another", async () => {
    round.keep("elm-12", "site", { ...siteInfo, site: { ...siteInfo.site, name: "Elm, rebuilt" } });
    const answer = await get("basins/elm-12/api/site", "anna");
    expect(await answer.json()).toMatchObject({ site: { name: "Elm, rebuilt" } });
  });
});

describe("what is no board's message", () => {
  it("is left out, and the basin stays as it was", async () => {
    round.say("mill-3", { level_m: 0.2, openFindings: [] });
    for (const payload of ["", "{", "null", "[]", '{"time_s":"now"}', `"${"x".repeat(70_000)}"`]) {
      round.tell("mill-3", "state", payload);
    }
    const { rows, pulses }: OverviewAnswer = await (await get("api/overview", "old town")).json();
    expect(rows[0]?.conditions[0]?.kind).toBe("well");
    expect(pulses[0]).toEqual(["mill-3", 0.2, false]);
  });

  it("makes no more strangers than a bound, nor one of a wrong name", async () => {
    for (let n = 0; n < 1000; n++) round.say(`flood-${n}`);
    round.say("<b>");
    const { rows }: OverviewAnswer = await (await get("api/overview", "anna")).json();
    expect(rows.filter(({ enrolled }) => !enrolled)).toHaveLength(500);
    expect(rows.filter(({ enrolled }) => enrolled)).toHaveLength(4);
    expect(rows.map(({ name }) => name)).not.toContain("<b>");
  });
});

describe("a central view that does not hear the broker", () => {
  it("says since when and why, and calls nobody silent for it", async () => {
    const own = await startRound({ basins: [{ name: "elm-12" }] });
    own.say("elm-12", { time_s: Date.now() / 1000 - 3600 }, { kept: true });
    own.broker.hearing_s = null;
    own.broker.lost = { since_s: 1000, reason: "mqtt://127.0.0.1:9: connection lost" };
    const answer: OverviewAnswer = await (await fetch(`${own.url}api/overview`)).json();
    expect(answer.brokerLost).toEqual(own.broker.lost);
    expect(answer.rows[0]?.conditions[0]?.kind).toBe("not-heard-yet");
    await own.stop();
  });
});
