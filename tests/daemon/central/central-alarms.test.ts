// The alarms of all basins in the central view, and answering them from there, with boards of our invention.

import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { hashPassword } from "../../../daemon/central/access/password.ts";
import type { OverviewRow } from "../../../daemon/central/central-types.ts";
import type { ActiveAlarm } from "../../../daemon/server/alarms-types.ts";
import type { LiveState } from "../../../daemon/server/api-types.ts";
import { siteInfo } from "../../real/central-boards.ts";
import { type Round, startRound } from "./round.ts";

const from_s = 1_772_604_510.25;
const highWater: ActiveAlarm = {
  ...{ name: "high-water", title: "HIGH WATER", priority: "high", whatToDo: "Check the pump from a dry place." },
  ...{ state: "unacknowledged", from_s, to_s: null, acknowledgedBy: null },
};

let round: Round;
const cookies: Record<string, string> = {};

beforeEach(async () => {
  const password = await hashPassword("a dry cellar");
  round = await startRound({
    basins: [{ name: "elm-12", customer: "lakeside" }, { name: "mill-3" }],
    customers: new Map([["lakeside", "Lakeside Homes"]]),
    logins: [
      { name: "anna", password, customer: null },
      { name: "lake office", password, customer: "lakeside" },
      { name: "caretaker", password, customer: "lakeside", answers: true },
    ],
  });
  for (const name of ["anna", "lake office", "caretaker"]) {
    const body = JSON.stringify({ name, password: "a dry cellar" });
    const answer = await fetch(`${round.url}api/session`, { method: "POST", headers, body });
    cookies[name] = answer.headers.get("set-cookie")?.split(";")[0] ?? "";
  }
  for (const name of ["elm-12", "mill-3"]) {
    round.say(name);
    round.keep(name, "site", siteInfo);
  }
});
afterEach(() => round.stop());

const headers = { "content-type": "application/json" };
const tellAlarms = (alarms: readonly object[], acknowledge = true, name = "elm-12", more: object = {}) =>
  round.tell(name, "alarms", JSON.stringify({ alarms, acknowledge, ...more }), true);

async function rowOf(name: string): Promise<OverviewRow> {
  const answer = await fetch(`${round.url}api/overview`, { headers: { cookie: cookies.anna ?? "" } });
  const { rows }: { rows: OverviewRow[] } = await answer.json();
  const row = rows.find((each) => each.name === name);
  if (row === undefined) throw new Error(`no basin ${name}`);
  return row;
}

const answer = (who: string, basin = "elm-12", body: object = { alarm: "high-water", from_s }) =>
  ask(who, basin, "acknowledge", body);
const shelve = (who: string, for_s: number | null, reason: string | null = null, basin = "elm-12") =>
  ask(who, basin, "shelve", { alarm: "high-water", for_s, reason });

function ask(who: string, basin: string, what: string, body: object): Promise<Response> {
  return fetch(`${round.url}basins/${basin}/api/alarms/${what}`, {
    method: "POST",
    headers: { ...headers, cookie: cookies[who] ?? "" },
    body: JSON.stringify(body),
  });
}

async function stateOf(name: string): Promise<LiveState> {
  const url = `${round.url}basins/${name}/api/state`;
  return await (await fetch(url, { headers: { cookie: cookies.anna ?? "" } })).json();
}

describe("the alarms of a basin, from afar", () => {
  it("are those that last and call people, most urgent first, with who sees to each", async () => {
    tellAlarms([
      {
        ...highWater,
        name: "supply-lost",
        priority: "medium",
        from_s: 1,
        state: "acknowledged",
        acknowledgedBy: "Ann",
      },
      highWater,
      { ...highWater, name: "pump-does-not-keep-up", state: "suppressed-by-design" },
      { ...highWater, name: "sensor-lost", state: "shelved" },
      { ...highWater, name: "service-due", state: "returned-to-normal-unacknowledged", to_s: from_s + 9 },
      { ...highWater, name: "of-a-newer-board", priority: "low" },
    ]);
    const { alarms, takesAnswers } = await rowOf("elm-12");
    expect(alarms.map(({ name, acknowledgedBy }) => [name, acknowledgedBy])).toEqual([
      ["high-water", null],
      ["supply-lost", "Ann"],
      ["of-a-newer-board", null],
    ]);
    expect(takesAnswers).toBe(true);
    expect(await rowOf("mill-3")).toMatchObject({ alarms: [], takesAnswers: false });
  });

  it("raise what only a board's alarms tell, with the board's own advice", async () => {
    const battery = { ...highWater, name: "board-battery-low", whatToDo: "Change its battery." };
    tellAlarms([battery]);
    expect((await rowOf("elm-12")).conditions[0]).toMatchObject({
      kind: "board-battery-low",
      tier: "soon",
      advice: "Change its battery.",
    });
  });

  it("are left out where the message is none of a board's", async () => {
    tellAlarms([highWater]);
    round.tell("elm-12", "alarms", '{"alarms": [{"name": "HIGH WATER!"}]}');
    expect((await rowOf("elm-12")).alarms).toHaveLength(1);
  });
});

describe("an answer from afar", () => {
  it("goes to the broker under the name of the log-in, and is shown until the board has taken it", async () => {
    tellAlarms([highWater]);
    const said = await answer("anna");
    expect([said.status, await said.json()]).toEqual([202, { by: "anna" }]);
    expect(round.told).toEqual([
      { basin: "elm-12", topic: "acknowledge/high-water", payload: JSON.stringify({ from_s, by: "anna" }) },
    ]);
    expect((await rowOf("elm-12")).alarms).toMatchObject([{ acknowledgedBy: null, answeredBy: "anna" }]);
    const state = await stateOf("elm-12");
    expect(state).toMatchObject({ takesAnswers: true, alarms: [{ state: "acknowledged" }] });
    expect(state.alarms?.[0]?.acknowledgedBy).toMatch(/^anna \(the board has not confirmed/);

    tellAlarms([{ ...highWater, state: "acknowledged", acknowledgedBy: "anna" }]);
    round.tell("elm-12", "acknowledge/high-water", "");
    expect((await rowOf("elm-12")).alarms).toMatchObject([{ acknowledgedBy: "anna", answeredBy: null }]);
  });

  it("answers no later alarm of the same name", async () => {
    tellAlarms([highWater]);
    await answer("anna");
    tellAlarms([{ ...highWater, from_s: from_s + 600 }]);
    expect((await rowOf("elm-12")).alarms).toMatchObject([{ acknowledgedBy: null, answeredBy: null }]);
  });

  it("is of staff and of customers whose log-in says so, of a basin that one may see, and for a board that takes it", async () => {
    tellAlarms([highWater]);
    expect((await answer("nobody")).status).toBe(401);
    expect((await answer("lake office")).status).toBe(403);
    expect((await answer("lake office", "mill-3")).status).toBe(404);
    expect((await answer("caretaker", "mill-3")).status).toBe(404);
    expect((await answer("anna", "elm-12", { alarm: "high-tide", from_s })).status).toBe(400);
    tellAlarms([highWater], false);
    const refused = await answer("anna");
    expect([refused.status, (await refused.json()).error]).toEqual([
      409,
      "alarms: the board of elm-12 takes no answers from here; publish.mqtt.acknowledge in its site file lets it",
    ]);
    expect(round.told).toEqual([]);
    tellAlarms([highWater]);
    expect([(await answer("caretaker")).status, round.told[0]?.payload]).toEqual([
      202,
      JSON.stringify({ from_s, by: "caretaker" }),
    ]);
  });

  it("says that it did not get through while the broker is not heard", async () => {
    tellAlarms([highWater]);
    round.broker.lost = { since_s: 0, reason: "mqtt://127.0.0.1:9: connection lost" };
    const said = await answer("anna");
    expect([said.status, (await said.json()).error]).toEqual([
      503,
      "alarms: it did not get through (mqtt://127.0.0.1:9: connection lost); the board goes on calling people",
    ]);
  });

  it("makes no basin of a name that only an answer has", async () => {
    round.tell("nowhere-7", "acknowledge/high-water", JSON.stringify({ from_s, by: "anna" }));
    await expect(rowOf("nowhere-7")).rejects.toThrow("no basin");
  });
});

describe("shelving from afar", () => {
  const shelves = { shelve: true, aside: [], done: [] };
  const hour_s = 3600;

  it("lasts as long as was asked for where the board's clock is wrong, too, and is shown by the central clock", async () => {
    const now_s = Date.now() / 1000;
    // Five hours behind, as two readings in a row tell.
    for (const second of [0, 1]) round.say("elm-12", { time_s: now_s - 5 * hour_s + second });
    tellAlarms([highWater], true, "elm-12", shelves);
    await shelve("anna", hour_s);
    const { until_s } = JSON.parse(round.told[0]?.payload ?? "{}");
    expect(Math.abs(until_s - (now_s - 4 * hour_s))).toBeLessThan(60);
    expect((await stateOf("elm-12")).aside).toMatchObject([{ until_s }]);
    expect((await rowOf("elm-12")).aside).toMatchObject([{ until_s: until_s + 5 * hour_s }]);
  });

  it("goes to the broker with until when, by whom and why, and stands as unconfirmed until the board has taken it", async () => {
    tellAlarms([highWater], true, "elm-12", shelves);
    const before_s = Date.now() / 1000;
    expect((await shelve("anna", hour_s, "the plumber is here")).status).toBe(202);
    const [order] = round.told;
    const { until_s, ...who } = JSON.parse(order?.payload ?? "{}");
    expect([order?.topic, who]).toEqual(["shelve/high-water", { by: "anna", reason: "the plumber is here" }]);
    // By the central clock, which is not this one to the last digit.
    expect(until_s).toBeGreaterThan(before_s + hour_s - 60);
    expect(until_s).toBeLessThan(Date.now() / 1000 + hour_s + 60);
    expect(await stateOf("elm-12")).toMatchObject({
      fromAfar: { takesShelving: true, notTaken: [] },
      aside: [{ title: "HIGH WATER", until_s, by: "anna (the board has not confirmed yet)" }],
    });
    round.tell("elm-12", "status", "offline", true);
    const by = "anna (the board is away, and hears of it when it is back)";
    expect((await stateOf("elm-12")).aside).toMatchObject([{ by }]);
    expect((await rowOf("elm-12")).aside).toEqual([{ title: "HIGH WATER", until_s, by }]);
    round.tell("elm-12", "status", "online", true);

    const aside = [
      {
        name: "high-water",
        title: "HIGH WATER",
        until_s,
        since_s: before_s,
        by: "anna",
        reason: "the plumber is here",
      },
    ];
    tellAlarms([{ ...highWater, state: "shelved" }], true, "elm-12", { ...shelves, aside });
    round.tell("elm-12", "shelve/high-water", "");
    expect((await stateOf("elm-12")).aside).toEqual(aside);

    expect((await shelve("anna", null)).status).toBe(202);
    expect(JSON.parse(round.told[1]?.payload ?? "{}")).toEqual({ until_s: null, by: "anna", reason: null });
    // The board keeps it silent until it says otherwise.
    const asked = "anna; anna asked to end it (the board has not confirmed yet)";
    expect((await stateOf("elm-12")).aside).toMatchObject([{ title: "HIGH WATER", by: asked }]);
  });

  it("is of whoever may answer, for no longer than the priority allows, and for a board that takes it", async () => {
    tellAlarms([highWater], true, "elm-12", shelves);
    expect((await shelve("nobody", hour_s)).status).toBe(401);
    expect((await shelve("lake office", hour_s)).status).toBe(403);
    expect((await shelve("caretaker", hour_s, null, "mill-3")).status).toBe(404);
    const tooLong = await shelve("caretaker", 9 * hour_s);
    expect([tooLong.status, (await tooLong.json()).error]).toEqual([
      400,
      "for_s: expected at most 8 h for high-water, found 9 h",
    ]);
    // One that does not last there is as urgent as in the table.
    const ahead = await ask("caretaker", "elm-12", "shelve", {
      alarm: "sensor-lost",
      for_s: 73 * hour_s,
      reason: null,
    });
    expect((await ahead.json()).error).toBe("for_s: expected at most 72 h for sensor-lost, found 73 h");
    tellAlarms([highWater]);
    const refused = await shelve("caretaker", hour_s);
    expect([refused.status, (await refused.json()).error]).toEqual([
      409,
      "alarms: the board of elm-12 takes no shelving from here; publish.mqtt.shelve in its site file lets it",
    ]);
    expect(round.told).toEqual([]);
    expect((await stateOf("elm-12")).fromAfar).toEqual({ takesShelving: false, done: [], notTaken: [] });
  });

  it("says what a board does not do that was asked of it, and does not show it as done", async () => {
    tellAlarms([highWater], true, "elm-12", shelves);
    await shelve("anna", hour_s);
    await answer("anna");
    tellAlarms([highWater], false);
    const { fromAfar, aside, alarms } = await stateOf("elm-12");
    expect(fromAfar?.notTaken).toEqual([
      "Answer by anna, HIGH WATER: not done, for the board takes none from here; publish.mqtt.acknowledge in its site file lets it.",
      "Shelving by anna, HIGH WATER: not done, for the board takes none from here; publish.mqtt.shelve in its site file lets it.",
    ]);
    expect([aside, alarms]).toMatchObject([[], [{ state: "unacknowledged" }]]);
    expect(await rowOf("elm-12")).toMatchObject({ aside: [], alarms: [{ answeredBy: null }] });
  });

  it("tells who did what lately, and nothing of what is none of a board's", async () => {
    const deed = {
      ...{ at_s: from_s, kind: "acknowledged", alarm: "high-water", title: "HIGH WATER", by: "Ann", via: "page" },
      ...{ reason: null, until_s: null, contact: null },
    };
    tellAlarms([highWater], true, "elm-12", { ...shelves, done: [deed] });
    expect((await stateOf("elm-12")).fromAfar?.done).toEqual([deed]);
    tellAlarms([highWater], true, "elm-12", { ...shelves, done: [{ ...deed, kind: "sung" }] });
    expect((await stateOf("elm-12")).fromAfar?.done).toEqual([]);
  });
});
