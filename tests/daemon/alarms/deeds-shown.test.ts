// Who did what about the alarms of a house, as it is kept and shown.

import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { alarmTable } from "../../../analysis/alarms/alarm-table.ts";
import { deedsOf, historyOf } from "../../../daemon/alarms/deeds-shown.ts";
import { finding } from "../../analysis/alarms/alarm-input.ts";
import { type House, house, neighbour, owner } from "./told-by-hand.ts";

const start_s = 1_700_000_000;
const called = { contacts: [owner, neighbour], call: [{ contacts: ["owner"], after_s: 0 }] };
let folder: string;
let at: House;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), "deeds-"));
  at = house(join(folder, "alarms.sqlite"), called, start_s);
});
afterEach(async () => {
  await at.close();
  rmSync(folder, { recursive: true });
});

const done = () => deedsOf(at.service.outbox.journal(0), at.service.outbox.messages(99), alarmTable);
const inShort = () =>
  done().map(({ at_s, kind, title, by, via, reason }) => [at_s - start_s, kind, title, by, via, reason].join(" | "));

describe("what was done about alarms", () => {
  it("is kept with who, by which way, and why, whichever way it was, and outlives a restart", async () => {
    await at.see(start_s, [finding("high-water", start_s)]);
    await at.clock.turnTo(start_s + 100);
    at.service.answer("+1 555 0100", "OK", "modem");
    await at.clock.turnTo(start_s + 200);
    at.service.shelve("high-water", start_s + 4000, "Ann", "new pump");
    await at.clock.turnTo(start_s + 300);
    at.service.unshelve("high-water", "Ben", "afar");
    await at.clock.turnTo(start_s + 400);
    at.service.acknowledge("high-water", "owner", "link");
    const expected = [
      "400 | acknowledged | HIGH WATER | owner | link | ",
      "300 | unshelved | HIGH WATER | Ben | afar | ",
      "200 | shelved | HIGH WATER | Ann | page | new pump",
      "100 | acknowledged | HIGH WATER | owner | channel modem | ",
    ];
    expect(inShort()).toEqual(expected);
    expect(done()[2]?.until_s).toBe(start_s + 4000);
    await at.close();
    at = house(join(folder, "alarms.sqlite"), {}, start_s + 500);
    expect(inShort()).toEqual(expected);
  });

  it("counts one press of the test's button once, with who wanted it", async () => {
    at.service.test("owner", null, "Ann");
    await at.clock.turnTo(start_s + 10);
    expect(inShort()).toEqual(["0 | tested |  | Ann | modem | "]);
    expect(done()[0]?.contact).toBe("owner");
  });

  it("is nobody's where an alarm does it by itself, and stands with that alarm alone", async () => {
    await at.see(start_s, [finding("high-water", start_s)]);
    await at.clock.turnTo(start_s + 100);
    at.service.shelve("high-water", start_s + 200, "Ann", "new pump");
    await at.see(start_s + 190, []);
    await at.clock.turnTo(start_s + 201);
    const [highWater, other] = alarmTable;
    if (highWater === undefined || other === undefined) throw new RangeError("the table is empty");
    const history = (of: typeof highWater) =>
      historyOf(at.service.outbox.journal(0), of).map(({ kind, by, via }) => [kind, by, via]);
    expect(history(highWater)).toEqual([
      ["unshelved", null, null],
      ["shelved", "Ann", "page"],
      ["raised", null, null],
    ]);
    expect(history(other)).toEqual([]);
    expect(inShort()).toEqual(["100 | shelved | HIGH WATER | Ann | page | new pump"]);
  });
});
