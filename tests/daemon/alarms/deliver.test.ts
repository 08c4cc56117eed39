import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import type { Outcome } from "../../../daemon/alarms/channels/channel.ts";
import { finding } from "../../analysis/alarms/alarm-input.ts";
import { type House, house, neighbour, owner } from "./told-by-hand.ts";

const start_s = 1_700_000_000;
const noNetwork: Outcome = { is: "failed", reason: "no network", again: true };
let folder: string;
let at: House;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), "deliver-"));
});
afterEach(async () => {
  await at.close();
  rmSync(folder, { recursive: true });
});

const path = () => join(folder, "alarms.sqlite");
const one = { contacts: [owner], call: [{ contacts: ["owner"], after_s: 0 }] };
const water = [finding("high-water", start_s)];
const heard = () => at.sent.map(({ at_s, subject }) => `${at_s - start_s} ${subject.replace("Hill House: ", "")}`);

describe("messages", () => {
  it("that are under way when somebody answers are not tried again", async () => {
    at = house(path(), { ...one, contacts: [owner, neighbour] });
    const { promise, resolve } = Promise.withResolvers<Outcome>();
    at.answer("modem", promise);
    await at.see(start_s, water);
    await at.clock.turnTo(start_s + 70);
    at.service.acknowledge("high-water", "the page");
    at.answer("modem", { is: "delivered" });
    resolve(noNetwork);
    await at.clock.turnTo(start_s + 4000);
    expect(heard()).toEqual(["60 HIGH WATER"]);
    expect(at.service.outbox.message(1)).toMatchObject({ state: "called-off" });
  });

  it("that were under way when somebody answered and the power went are not sent after the start", async () => {
    at = house(path(), one);
    at.answer("modem", new Promise(() => {}));
    await at.see(start_s, water);
    await at.clock.turnTo(start_s + 70);
    at.service.acknowledge("high-water", "the page");
    const abandoned = at;
    at.service.outbox.close();
    at = house(path(), one, start_s + 100);
    await at.clock.turnTo(start_s + 4000);
    expect(abandoned.sent.length + at.sent.length).toBe(1);
  });

  it("of high priority do not wait for a slow channel that is at something less", async () => {
    at = house(path(), one);
    at.answer("modem", new Promise(() => {}));
    await at.see(start_s, [finding("power-lost", start_s)]);
    await at.clock.turnTo(start_s + 150);
    at.answer("modem", { is: "delivered" });
    await at.see(start_s + 200, [finding("power-lost", start_s), finding("high-water", start_s + 180)]);
    await at.clock.turnTo(start_s + 300);
    expect(heard()).toEqual(["140 SUPPLY LOST", "240 HIGH WATER"]);
    at = house(join(folder, "other.sqlite"), one);
  });

  it("that begin something urgent are not held back by what has ended often", async () => {
    at = house(path(), { ...one, contacts: [{ ...owner, mostAnHour: 2 }] });
    await at.see(start_s, [finding("high-water", start_s)]);
    await at.see(start_s + 100, []);
    await at.see(start_s + 500, [finding("float-stuck-off", start_s + 500)]);
    await at.see(start_s + 700, []);
    await at.clock.turnTo(start_s + 900);
    expect(heard()).toEqual([
      "60 HIGH WATER",
      "400 over: High water",
      "560 PUMP DOES NOT START",
      "760 over: Pump does not start",
    ]);
  });

  it("of high priority come, beyond what a contact wants in an hour, ten minutes after the last", async () => {
    at = house(path(), { ...one, contacts: [{ ...owner, mostAnHour: 1 }] });
    const [stuck, water] = [finding("float-stuck-off", start_s), finding("high-water", start_s + 200)];
    await at.see(start_s, [stuck]);
    await at.see(start_s + 200, [stuck, water]);
    await at.clock.turnTo(start_s + 1200);
    expect(heard()).toEqual(["60 PUMP DOES NOT START", "660 HIGH WATER"]);
  });

  it("keep to quiet hours when they are tried again in them", async () => {
    // 1,700,000,000 is 22:13:20 UTC.
    at = house(path(), { ...one, contacts: [{ ...owner, quiet: { from_min: 22 * 60 + 17, to_min: 7 * 60 } }] });
    at.answer("modem", noNetwork);
    await at.see(start_s, [finding("power-lost", start_s)]);
    await at.clock.turnTo(start_s + 250);
    at.answer("modem", { is: "delivered" });
    await at.clock.turnTo(start_s + 86_000);
    expect(heard()).toEqual([
      "140 SUPPLY LOST",
      "145 SUPPLY LOST",
      "155 SUPPLY LOST",
      "175 SUPPLY LOST",
      "215 SUPPLY LOST",
      "31600 SUPPLY LOST",
    ]);
  });

  it("tell whoever is called later of the water as it is then", async () => {
    at = house(path(), {
      contacts: [owner, neighbour],
      call: [
        { contacts: ["owner"], after_s: 0 },
        { contacts: ["neighbour"], after_s: 900 },
      ],
    });
    await at.see(start_s, water, { level_m: 0.46 });
    await at.see(start_s + 900, water, { level_m: 0.49 });
    await at.clock.turnTo(start_s + 1000);
    expect(at.sent.map(({ text }) => /Level [^.]*/.exec(text)?.[0])).toEqual(["Level 460 mm", "Level 490 mm"]);
  });

  it("that get through at last say each thing once, and nothing of minutes that are over", async () => {
    at = house(path(), {
      contacts: [owner],
      call: [
        { contacts: ["owner"], after_s: 0 },
        { contacts: ["owner"], after_s: 600 },
      ],
    });
    at.answer("modem", noNetwork);
    await at.see(start_s, water, { level_m: 0.46 });
    await at.clock.turnTo(start_s + 1500);
    at.answer("modem", { is: "delivered" });
    await at.clock.turnTo(start_s + 4000);
    const reached = at.sent.at(-1);
    expect(reached?.subject).toBe("Hill House: HIGH WATER");
  });

  it("whose receipt says that they did not arrive go by the next way", async () => {
    at = house(path(), { ...one, contacts: [{ ...owner, reach: [...owner.reach, ...neighbour.reach] }] });
    at.answer("modem", { is: "handed-over" });
    await at.see(start_s, water);
    await at.clock.turnTo(start_s + 100);
    at.service.receipt("modem", at.sent[0]?.key ?? "", false, "the telephone is off");
    await at.clock.turnTo(start_s + 110);
    expect(at.sent.map(({ by }) => by)).toEqual(["modem", "mail"]);
    at.service.receipt("modem", at.sent[0]?.key ?? "", false, "the telephone is off");
    await at.clock.turnTo(start_s + 3000);
    expect(at.sent.length).toBe(2);
  });

  it("that cannot be put into words do not stop the others", async () => {
    at = house(path(), one);
    const [row] = [
      {
        ...({
          key: "strange",
          kind: "raised",
          alarm: "an alarm of another version" as never,
          occurrence: "x-1",
        } as const),
      },
    ];
    at.service.outbox.keep({
      alarms: at.service.alarms(),
      messages: [
        {
          ...row,
          priority: "medium",
          contact: "owner",
          onlyBy: null,
          due_s: start_s,
          expires_s: start_s + 99,
          from_s: null,
          to_s: null,
          facts: {},
        },
      ],
      now_s: start_s,
    });
    await at.see(start_s, water);
    await at.clock.turnTo(start_s + 300);
    expect(heard()).toEqual(["60 HIGH WATER"]);
    expect(at.service.outbox.message(1)?.state).toBe("refused");
  });

  it("are answered by their own number alone", async () => {
    at = house(path(), one);
    await at.see(start_s, water);
    await at.clock.turnTo(start_s + 100);
    at.service.answer("+15550100", "OK 71", "modem");
    expect(at.service.alarms().some(({ acknowledged }) => acknowledged !== null)).toBe(false);
    at.service.answer("+15550100", "okay", "modem");
    expect(at.service.alarms().filter(({ acknowledged }) => acknowledged !== null).length).toBe(1);
  });

  it("that are under way at the end are marked when they go again after the next start", async () => {
    at = house(path(), one);
    const { promise, resolve } = Promise.withResolvers<Outcome>();
    at.answer("modem", promise);
    await at.see(start_s, water);
    await at.clock.turnTo(start_s + 70);
    const closing = at.close();
    resolve(noNetwork);
    await closing;
    at = house(path(), one, start_s + 100);
    await at.clock.turnTo(start_s + 200);
    expect(at.sent[0]?.text).toContain("(Perhaps sent before.)");
  });

  it("are sent after a start at which the clock was set back by a month", async () => {
    at = house(path(), { ...one, contacts: [{ ...owner, mostAnHour: 1 }] });
    await at.see(start_s, [finding("high-water", start_s)]);
    await at.clock.turnTo(start_s + 70);
    at.service.acknowledge("high-water", "owner");
    at.answer("modem", noNetwork);
    await at.see(start_s + 4000, [finding("high-water", start_s), finding("float-stuck-off", start_s + 3900)]);
    await at.clock.turnTo(start_s + 4400);
    await at.close();
    const earlier_s = start_s - 30 * 86_400;
    at = house(path(), { ...one, contacts: [{ ...owner, mostAnHour: 1 }] }, earlier_s);
    await at.clock.turnTo(earlier_s + 100);
    expect(heard()).toEqual([`${earlier_s - start_s} PUMP DOES NOT START`]);
  });

  it("are sent, of what lasts unanswered, to a contact that has another name since the start", async () => {
    at = house(path(), {
      contacts: [owner, neighbour],
      call: [
        { contacts: ["owner"], after_s: 0 },
        { contacts: ["neighbour"], after_s: 900 },
      ],
    });
    await at.see(start_s, water);
    await at.clock.turnTo(start_s + 100);
    await at.close();
    const renamed = {
      contacts: [owner, { ...neighbour, name: "Ann next door" }],
      call: [
        { contacts: ["owner"], after_s: 0 },
        { contacts: ["Ann next door"], after_s: 900 },
      ],
    };
    for (const again_s of [200, 300]) {
      at = house(path(), renamed, start_s + again_s);
      await at.see(start_s + again_s, water);
      if (again_s === 200) await at.close();
    }
    await at.clock.turnTo(start_s + 4000);
    expect(at.sent.map(({ at_s, by, subject }) => `${at_s - start_s} ${by} ${subject}`)).toEqual([
      "960 mail Hill House: HIGH WATER",
    ]);
    expect(at.service.outbox.message(2)).toMatchObject({ state: "refused" });
  });
});
