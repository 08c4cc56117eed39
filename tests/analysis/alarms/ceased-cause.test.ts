// A finding stays open for a while after its cause is over, lest it comes and goes; what people are told is true all the same.

import { describe, expect, it } from "vitest";
import { createAlarmBook } from "../../../analysis/alarms/alarm-book.ts";
import { alarmTable } from "../../../analysis/alarms/alarm-table.ts";
import type { FindingKind } from "../../../analysis/findings/finding.ts";
import { finding, input } from "./alarm-input.ts";

const kinds = (changes: readonly { kind: string; alarm: { name: string } }[]) =>
  changes.map(({ kind, alarm }) => `${alarm.name} ${kind}`);
const ceasing = (since_s: number, kind: FindingKind = "float-stuck-off", from_s = 100) => ({
  ceasing: [{ kind, from_s, since_s }],
});
const stuck = [finding("float-stuck-off", 100)];

describe("an alarm whose cause is over before its delay", () => {
  it("is not told, though its finding is still open then", () => {
    const book = createAlarmBook(alarmTable);
    book.update(input(130, stuck));
    expect(book.update(input(140, stuck, ceasing(140)))).toEqual([]);
    expect(book.nextDue_s()).toBeNull();
    expect(book.update(input(160, stuck, ceasing(140)))).toEqual([]);
    expect(book.update(input(199, stuck, ceasing(140)))).toEqual([]);
    expect(book.update(input(200))).toEqual([]);
    expect(book.alarm("pump-does-not-start")).toMatchObject({ state: "normal", occurrence: 0 });
  });

  it("is told at once when it is so again, for that is the same trouble", () => {
    const book = createAlarmBook(alarmTable);
    book.update(input(130, stuck));
    book.update(input(150, stuck, ceasing(150)));
    expect(book.update(input(170, stuck, ceasing(150)))).toEqual([]);
    expect(kinds(book.update(input(175, stuck)))).toEqual(["pump-does-not-start raised"]);
    expect(book.alarm("pump-does-not-start").from_s).toBe(100);
  });

  it("is not told when what spoke for it is over, and so is it", () => {
    const book = createAlarmBook(alarmTable);
    const both = [finding("high-water", 100), finding("inflow-exceeds-pump", 100)];
    book.update(input(300, both));
    const [, rises] = both;
    book.update(input(400, [rises ?? finding("high-water", 0)], ceasing(390, "inflow-exceeds-pump")));
    const told = book.update(input(701, [rises ?? finding("high-water", 0)], ceasing(390, "inflow-exceeds-pump")));
    expect(kinds(told)).toEqual(["high-water over", "pump-does-not-keep-up unsuppressed"]);
  });
});

describe("an alarm that was told", () => {
  it("lasted until its cause was over, not until that was sure", () => {
    const book = createAlarmBook(alarmTable);
    book.update(input(200, stuck));
    book.update(input(500, stuck, ceasing(500)));
    book.update(input(560));
    expect(kinds(book.update(input(620)))).toEqual(["pump-does-not-start over"]);
    expect(book.alarm("pump-does-not-start")).toMatchObject({ from_s: 100, to_s: 500, ceased_s: null });
  });

  it("is told of, until its end is sure, with the water as it is then, and gets no worse", () => {
    const book = createAlarmBook(alarmTable);
    const floor = { rise_ms: 1e-4, uRise_ms: 1e-6, expected_s: 600, earliest_s: 500, latest_s: 700 };
    book.update({ ...input(200, [finding("high-water", 100)], { level_m: 0.5, mainsOn: true }), toFloor: floor });
    expect(book.alarm("high-water").facts).toMatchObject({ level_m: 0.5, to_floor_s: 600 });
    expect(book.update(input(300, [], { level_m: 0.2, mainsOn: false, pumpRunning: true }))).toEqual([]);
    expect(book.alarm("high-water").facts).toMatchObject({ level_m: 0.2, to_floor_s: null, pump_running: true });
    book.update(input(400, [], { level_m: null }));
    expect(book.alarm("high-water").facts).toMatchObject({ level_m: 0.2 });
  });

  it("lasts while one of two findings does", () => {
    const book = createAlarmBook(alarmTable);
    const two = [finding("sensor-fault", 100), finding("sensor-fault", 100.001)];
    book.update(input(300, two, ceasing(300, "sensor-fault")));
    expect(kinds(book.update(input(700, two, ceasing(300, "sensor-fault"))))).toEqual(["sensor-lost raised"]);
  });
});
