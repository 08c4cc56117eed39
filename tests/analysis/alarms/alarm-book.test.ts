import { describe, expect, it } from "vitest";
import { createAlarmBook } from "../../../analysis/alarms/alarm-book.ts";
import { shownState } from "../../../analysis/alarms/alarm-record.ts";
import { alarmTable } from "../../../analysis/alarms/alarm-table.ts";
import { finding, input } from "./alarm-input.ts";

const kinds = (changes: readonly { kind: string; alarm: { name: string } }[]) =>
  changes.map(({ kind, alarm }) => `${alarm.name} ${kind}`);

describe("the book of alarms", () => {
  it("raises high water when it has lasted for its delay, to the second, and says when it is over", () => {
    const book = createAlarmBook(alarmTable);
    const water = [finding("high-water", 100)];
    expect(book.update(input(100, water))).toEqual([]);
    expect(book.nextDue_s()).toBe(160);
    expect(book.update(input(159.999, water))).toEqual([]);
    expect(kinds(book.update(input(160, water)))).toEqual(["high-water raised"]);
    expect(book.update(input(500, []))).toEqual([]);
    expect(book.nextDue_s()).toBe(800);
    expect(kinds(book.update(input(800, [])))).toEqual(["high-water over"]);
    expect(shownState(book.alarm("high-water"))).toBe("returned-to-normal-unacknowledged");
  });

  it("foresees what will be to say, and stays as it was", () => {
    const book = createAlarmBook(alarmTable);
    const water = [finding("high-water", 100)];
    book.update(input(100, water));
    const before = book.alarms();
    const { changes, alarms } = book.foresee(input(160, water));
    expect(book.alarms()).toEqual(before);
    expect(kinds(changes)).toEqual(["high-water raised"]);
    expect(book.update(input(160, water))).toEqual(changes);
    expect(book.alarms()).toEqual(alarms);
  });

  it("says nothing of what was over before its delay", () => {
    const book = createAlarmBook(alarmTable);
    book.update(input(100, [finding("high-water", 100)]));
    expect(book.update(input(130, []))).toEqual([]);
    expect(book.update(input(5000, []))).toEqual([]);
  });

  it("counts the delay from when it began, although nothing was watched meanwhile", () => {
    const book = createAlarmBook(alarmTable);
    expect(kinds(book.update(input(10_000, [finding("high-water", 100)])))).toEqual(["high-water raised"]);
  });

  it("is silent about the consequence while its cause holds, and tells it when the cause is over and it is not", () => {
    const book = createAlarmBook(alarmTable);
    const both = [finding("power-lost", 100), finding("float-stuck-off", 110)];
    expect(kinds(book.update(input(175, both)))).toEqual(["pump-does-not-start suppressed"]);
    expect(kinds(book.update(input(220, both)))).toEqual(["supply-lost raised"]);
    expect(shownState(book.alarm("pump-does-not-start"))).toBe("suppressed-by-design");
    const left = [finding("float-stuck-off", 110)];
    book.update(input(300, left));
    expect(kinds(book.update(input(360, left)))).toEqual([
      "supply-lost over",
      "pump-does-not-start unsuppressed",
      "pump-does-not-start raised",
    ]);
  });

  it("tells when it gets worse, twice at most, and once more when it is over", () => {
    const book = createAlarmBook(alarmTable);
    const site = { ...input(0).site, basin: { ...input(0).site.basin, overflowLevel_m: 0.5 } };
    const at = (time_s: number, level_m: number) => ({
      ...input(time_s, [finding("high-water", 0)], { level_m }),
      site,
    });
    expect(kinds(book.update(at(60, 0.3)))).toEqual(["high-water raised"]);
    expect(kinds(book.update(at(90, 0.39)))).toEqual([]);
    expect(kinds(book.update(at(120, 0.41)))).toEqual(["high-water worse"]);
    expect(kinds(book.update(at(150, 0.47)))).toEqual(["high-water worse"]);
    expect(kinds(book.update(at(180, 0.49)))).toEqual([]);
  });

  it("shelves for a time, and raises anew what still is when that is over", () => {
    const book = createAlarmBook(alarmTable);
    const often = [finding("short-cycling", 0)];
    book.update(input(700, often));
    expect(kinds(book.shelve("starts-too-often", 4000, "owner", 710))).toEqual(["starts-too-often shelved"]);
    expect(book.nextDue_s()).toBe(4000);
    expect(kinds(book.update(input(2000, often)))).toEqual([]);
    expect(kinds(book.update(input(4000, often)))).toEqual(["starts-too-often unshelved", "starts-too-often raised"]);
    expect(() => book.shelve("high-water", 4001 + 9 * 3600, "owner", 4001)).toThrow("at most 8 h from now, found 9 h");
  });

  it("keeps who put an alarm aside and why, until it is back", () => {
    const book = createAlarmBook(alarmTable);
    book.shelve("service-due", 4000, "Ann", 710, "booked for Friday");
    book.setInService("service-due", false, "Ben", 720);
    expect(book.alarm("service-due")).toMatchObject({
      shelved: { by: "Ann", at_s: 710, reason: "booked for Friday" },
      takenOut: { by: "Ben", at_s: 720, reason: null },
    });
    book.setInService("service-due", true, "Ben", 730);
    book.update(input(4000, []));
    expect(book.alarm("service-due")).toMatchObject({ shelved: null, takenOut: null });
  });

  it("shelves for the longest time that is allowed, also where the sum of seconds is rounded up", () => {
    const book = createAlarmBook(alarmTable);
    const at_s = 1_700_000_000.123_456_7;
    book.shelve("high-water", at_s + 8 * 3600 + 2e-7, "Ann", at_s);
    expect(shownState(book.alarm("high-water"))).toBe("shelved");
  });

  it("says one that comes and goes once", () => {
    const book = createAlarmBook(alarmTable);
    const said: string[] = [];
    for (let k = 0; k < 40; k++) {
      said.push(...kinds(book.update(input(k * 600, [finding("high-water", k * 600 - 60)]))));
      said.push(...kinds(book.update(input(k * 600 + 1, []))));
      said.push(...kinds(book.update(input(k * 600 + 302, []))));
    }
    expect(said.filter((each) => each.endsWith("raised")).length).toBe(3);
  });

  it("carries on after a restart as if it had never stopped", () => {
    const book = createAlarmBook(alarmTable);
    const water = [finding("high-water", 100)];
    book.update(input(200, water));
    book.acknowledge("high-water", "owner", 210);
    const again = createAlarmBook(alarmTable, JSON.parse(JSON.stringify(book.alarms())));
    expect(again.update(input(300, water))).toEqual([]);
    book.update(input(300, water));
    expect(again.alarms()).toEqual(book.alarms());
  });

  it("lets no cause that is shelved or out of service speak for its consequence", () => {
    const both = [finding("high-water", 0), finding("inflow-exceeds-pump", 0)];
    for (const withhold of ["shelve", "setInService"] as const) {
      const book = createAlarmBook(alarmTable);
      book.update(input(200, both));
      expect(shownState(book.alarm("pump-does-not-keep-up"))).toBe("suppressed-by-design");
      if (withhold === "shelve") book.shelve("high-water", 9000, "owner", 300);
      else book.setInService("high-water", false, "owner", 300);
      expect(kinds(book.update(input(301, both)))).toEqual([
        "pump-does-not-keep-up unsuppressed",
        "pump-does-not-keep-up raised",
      ]);
    }
  });

  it("waits for an answer anew when it comes off the shelf", () => {
    const book = createAlarmBook(alarmTable);
    const often = [finding("short-cycling", 0)];
    book.update(input(700, often));
    book.acknowledge("starts-too-often", "owner", 705);
    book.shelve("starts-too-often", 4000, "owner", 710);
    book.update(input(4000, often));
    expect(book.alarm("starts-too-often")).toMatchObject({ state: "unacknowledged", acknowledged: null });
  });

  it("keeps a lost sensor as it was while nobody can say", () => {
    const book = createAlarmBook(alarmTable);
    book.update(input(1000, [], {}, { silentSince_s: 0 }));
    expect(book.alarm("sensor-lost").state).toBe("unacknowledged");
    book.update(input(1500, [], {}, { silentSince_s: null }));
    book.update(input(2000, [], {}, { silentSince_s: undefined }));
    expect(book.nextDue_s()).toBeNull();
    book.update(input(9000, [], {}, { silentSince_s: undefined }));
    expect(book.alarm("sensor-lost").state).toBe("unacknowledged");
  });
});
