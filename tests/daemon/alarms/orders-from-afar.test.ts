// What is asked of a house's alarms from afar, as the board does it.

import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { alarmTable } from "../../../analysis/alarms/alarm-table.ts";
import { alarmsFromAfar } from "../../../daemon/alarms/alarms-from-afar.ts";
import { type OrdersFromAfar, ordersFromAfar } from "../../../daemon/alarms/orders-from-afar.ts";
import { finding } from "../../analysis/alarms/alarm-input.ts";
import { type House, house } from "./told-by-hand.ts";

const start_s = 1_700_000_000;
const hour_s = 3600;
let folder: string;
let at: House;
let orders: OrdersFromAfar;

beforeEach(async () => {
  folder = mkdtempSync(join(tmpdir(), "orders-"));
  open();
  await at.see(start_s, [finding("high-water", start_s)]);
  await at.clock.turnTo(start_s + 100);
});
afterEach(async () => {
  await at.close();
  rmSync(folder, { recursive: true });
});

function open(at_s = start_s): void {
  at = house(join(folder, "alarms.sqlite"), {}, at_s);
  orders = ordersFromAfar(at.service, alarmTable, at.clock.now_s, (line) => at.log.push(line));
}

const highWater = () => at.service.alarms().find(({ name }) => name === "high-water");
const shelving = { alarm: "high-water", until_s: start_s + hour_s, by: "anna", reason: "new pump" } as const;

const noService = {
  view: () => ({ last: null, entered: false, by: null, due: null, due_s: null, today: "2023-11-14" }),
};

describe("what is asked from afar", () => {
  it("shelves until the time that was meant, under a name, durably, and takes off the shelf", async () => {
    orders.shelve(shelving);
    const shelved = { by: "anna", at_s: start_s + 100, reason: "new pump" };
    expect(highWater()).toMatchObject({ shelvedUntil_s: start_s + hour_s, shelved });
    await at.close();
    open(start_s + 200);
    expect(highWater()).toMatchObject({ shelvedUntil_s: start_s + hour_s, shelved });
    orders.shelve({ ...shelving, until_s: null, reason: null });
    expect(highWater()).toMatchObject({ shelvedUntil_s: null, shelved: null });
    const { aside, done } = alarmsFromAfar(
      at.service.alarms(),
      alarmTable,
      at.service.outbox,
      noService,
      start_s + 300,
    );
    expect([aside, done.map(({ kind, by, via }) => [kind, by, via])]).toEqual([
      [],
      [
        ["unshelved", "anna", "afar"],
        ["shelved", "anna", "afar"],
      ],
    ]);
  });

  it("shelves for no longer than the priority allows, whatever the sender's clock says", () => {
    orders.shelve({ ...shelving, until_s: start_s + 1000 * hour_s });
    expect(highWater()?.shelvedUntil_s).toBe(start_s + 100 + 8 * hour_s);
  });

  it("shelves nothing where the time is over before the board hears of it", () => {
    orders.shelve({ ...shelving, until_s: start_s + 50 });
    expect(highWater()?.shelvedUntil_s).toBeNull();
    expect(at.log.at(-1)).toBe(
      "alarms: anna would have high-water shelved until a time that is over: it stands as it stood",
    );
  });

  it("shelves nothing where the time is over while it is heard: nothing that comes from afar stops a board", () => {
    const { clock, service, log } = at;
    const late = ordersFromAfar(
      service,
      alarmTable,
      () => clock.now_s() - 0.5,
      (line) => log.push(line),
    );
    expect(() => late.shelve({ ...shelving, until_s: start_s + 100 })).not.toThrow();
    expect(highWater()?.shelvedUntil_s).toBeNull();
  });

  it("answers the alarm that was meant, and no later one", () => {
    orders.answer({ alarm: "high-water", from_s: start_s - 900, by: "anna" });
    expect(highWater()?.state).toBe("unacknowledged");
    expect(at.log.at(-1)).toBe("alarms: an answer by anna to high-water came too late");
    orders.answer({ alarm: "high-water", from_s: start_s, by: "anna" });
    expect(highWater()?.acknowledged?.by).toBe("anna");
  });
});
