// A pump without supply, and water that rises: the supply's loss speaks for the pump, but for those who hear of neither.

import { describe, expect, it } from "vitest";
import { createAlarmBook } from "../../../analysis/alarms/alarm-book.ts";
import { shownState } from "../../../analysis/alarms/alarm-record.ts";
import { alarmTable } from "../../../analysis/alarms/alarm-table.ts";
import type { TimeToFloor } from "../../../analysis/alarms/time-to-floor.ts";
import type { Situation } from "../../../analysis/analyzer.ts";
import { allWell, finding, input } from "./alarm-input.ts";

const lost = [finding("power-lost", 0)];
const kinds = (changes: readonly { kind: string; alarm: { name: string } }[]) =>
  changes.map(({ kind, alarm }) => `${alarm.name} ${kind}`);
const hour_s = 3600;

/** The start level is 0.3 m, high water 0.45 m, the floor 0.6 m. */
function at(time_s: number, level_m: number | null, toFloor_s: number | null, more: Partial<Situation> = {}) {
  const rise_ms = toFloor_s === null ? 0 : 1e-4;
  const toFloor: TimeToFloor = {
    ...{ rise_ms, uRise_ms: 1e-6 },
    ...{ expected_s: toFloor_s, earliest_s: toFloor_s, latest_s: toFloor_s },
  };
  return { ...input(time_s, lost, { level_m, mainsOn: false, ...more }), toFloor };
}

/** Whether people are told, a minute later, of what is so from then on. */
function told(now: ReturnType<typeof at>): boolean {
  const book = createAlarmBook(alarmTable);
  for (const time_s of [now.time_s, now.time_s + 60]) book.update({ ...now, time_s, unheard: () => true });
  return book.alarm("pump-does-not-start").announced;
}

function without(now: ReturnType<typeof at>, ...keys: readonly ("startLevel_m" | "overflowLevel_m")[]) {
  const basin = { ...now.site.basin, ...Object.fromEntries(keys.map((key) => [key, null])) };
  return { ...now, site: { ...now.site, basin } };
}

describe("a pump that is wanted and has no supply", () => {
  it("is told, a minute after the water came over its start level, where nobody hears that the supply is lost", () => {
    const book = createAlarmBook(alarmTable);
    const unheard = () => true;
    expect(kinds(book.update({ ...at(130, 0.25, hour_s), unheard }))).toEqual(["supply-lost raised"]);
    expect(book.update({ ...at(600, 0.37, 1800), unheard })).toEqual([]);
    expect(book.nextDue_s()).toBe(660);
    expect(kinds(book.update({ ...at(660, 0.38, 1700), unheard }))).toContain("pump-does-not-start raised");
    // Whoever was told goes on being called when the loss is told, too.
    expect(book.update({ ...at(700, 0.39, 1600), unheard: () => false })).toEqual([]);
    expect(book.alarm("pump-does-not-start")).toMatchObject({ state: "unacknowledged", suppressed: false });
  });

  it("is said by the supply that is lost, where somebody hears of that", () => {
    const book = createAlarmBook(alarmTable);
    book.update(at(130, 0.25, hour_s));
    book.update(at(600, 0.37, 1800));
    expect(book.update(at(660, 0.38, 1700))).toEqual([]);
    expect(shownState(book.alarm("pump-does-not-start"))).toBe("suppressed-by-design");
  });

  it("is over when the supply is back and the pump runs", () => {
    const book = createAlarmBook(alarmTable);
    const unheard = () => true;
    book.update({ ...at(130, 0.25, hour_s), unheard });
    for (const time_s of [600, 660]) book.update({ ...at(time_s, 0.38, 1800), unheard });
    book.update({ ...input(900, lost, { level_m: 0.38, mainsOn: true, pumpRunning: true }), unheard });
    expect(kinds(book.update({ ...input(960, [], { mainsOn: true }), unheard }))).toContain("pump-does-not-start over");
    expect(book.alarm("pump-does-not-start")).toMatchObject({ from_s: 600, to_s: 900 });
  });

  it.each([
    ["the water stands below", at(0, 0.35, 1800)],
    ["the floor is far at this rate: a trickle in a power cut is no hurry", at(0, 0.38, 3 * hour_s)],
    ["the water does not rise", at(0, 0.38, null)],
    ["another pump runs", at(0, 0.38, 1800, { pumpRunning: true })],
    ["the supply is there", at(0, 0.38, 1800, { mainsOn: true })],
    ["nothing tells of the supply", at(0, 0.38, 1800, { mainsOn: null })],
  ])("is not told where %s", (_, now) => {
    const book = createAlarmBook(alarmTable);
    for (const time_s of [600, 660, 900]) book.update({ ...now, time_s, unheard: () => true });
    expect(book.alarm("pump-does-not-start").state).toBe("normal");
  });

  it("is known without a level by its float", () => {
    expect(told(at(600, null, null, { floatOn: true }))).toBe(true);
    expect(told(at(600, null, null, { floatOn: false }))).toBe(false);
  });

  it("is known by its float, too, where a level tells how near the floor is and no start level is stated", () => {
    expect(told(without(at(600, 0.2, 1800, { floatOn: true }), "startLevel_m"))).toBe(true);
    expect(told(without(at(600, 0.2, 1800, { floatOn: false }), "startLevel_m"))).toBe(false);
    expect(told(at(600, 0.2, 1800, { floatOn: true }))).toBe(true); // the float trips lower than the site file says
    expect(told(at(600, 0.2, 3 * hour_s, { floatOn: true }))).toBe(false);
  });

  it("is known by the rise alone where neither start level nor float is", () => {
    expect(told(without(at(600, 0.2, 1800), "startLevel_m"))).toBe(true);
    expect(told(without(at(600, 0.2, 3 * hour_s), "startLevel_m"))).toBe(false);
    // Nor the floor: 0.1 mm/s is 0.7 m in two hours, a fortieth of that is a trickle.
    const blind = without(at(600, 0.2, 1800), "startLevel_m", "overflowLevel_m");
    expect(told(blind)).toBe(true);
    expect(told({ ...blind, toFloor: { ...(blind.toFloor as TimeToFloor), rise_ms: 2.5e-6, uRise_ms: 1e-7 } })).toBe(
      false,
    );
  });
});

describe("a supply that is lost where nothing tells of the water", () => {
  it("wakes people after a quarter of an hour, as long as the pump has run within a day", () => {
    expect(told(at(899, null, null))).toBe(false);
    expect(told(at(900, null, null))).toBe(true);
    const ran = (lastRun_s: number) => ({ ...at(900, null, null), care: { ...allWell, lastRun_s } });
    expect(told(ran(-23 * hour_s))).toBe(true);
    expect(told(ran(-25 * hour_s))).toBe(false);
  });

  it("leaves that to a high float where there is one", () => {
    const now = at(3600, null, null, { highFloat: false });
    expect(told(now)).toBe(false);
    const hangs = { ...finding("sensor-fault", 0), evidence: { channel: "high_float" } };
    const openFindings = [...now.situation.openFindings, hangs];
    expect(told({ ...now, situation: { ...now.situation, openFindings } })).toBe(true);
  });
});

describe("one of two pumps that does not start while the other works", () => {
  it("is told as what it is, and wakes nobody", () => {
    const book = createAlarmBook(alarmTable);
    const evidence = { pump: 2, other_pump_running: true };
    const now = (time_s: number) => input(time_s, [{ ...finding("float-stuck-off", 0), evidence }]);
    expect(kinds(book.update(now(300)))).toEqual(["one-pump-out raised"]);
    expect(book.alarm("one-pump-out").facts).toEqual({ idle_pump: 2 });
    expect(book.alarm("pump-does-not-start").state).toBe("normal");
  });

  it("is not told once that is over, though both stand meanwhile", () => {
    const book = createAlarmBook(alarmTable);
    const one = { ...finding("float-stuck-off", 0), evidence: { pump: 2, other_pump_running: true } };
    const both = finding("float-stuck-off", 250);
    const ceasing = [{ kind: one.kind, from_s: one.from_s, since_s: 260 }];
    book.update(input(200, [one]));
    book.update(input(280, [one, both], { ceasing }));
    expect(kinds(book.update(input(310, [one, both], { ceasing })))).toEqual(["pump-does-not-start raised"]);
    expect(book.alarm("one-pump-out")).toMatchObject({ state: "normal", ceased_s: 260 });
    expect(book.alarm("pump-does-not-start").ceased_s).toBeNull();
  });

  it("is said by the pump that does not start where both stand", () => {
    const book = createAlarmBook(alarmTable);
    const one = { ...finding("float-stuck-off", 0), evidence: { pump: 2, other_pump_running: false } };
    expect(kinds(book.update(input(300, [one, finding("float-stuck-off", 100)])))).toEqual([
      "one-pump-out suppressed",
      "pump-does-not-start raised",
    ]);
  });
});
