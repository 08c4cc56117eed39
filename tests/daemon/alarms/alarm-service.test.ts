import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { alarmNames } from "../../../analysis/alarms/alarm.ts";
import type { Schedule } from "../../../daemon/sources/schedule.ts";
import { calm, finding } from "../../analysis/alarms/alarm-input.ts";
import { smallSite } from "../../analysis/small-basin.ts";
import { type House, house, neighbour, owner } from "./told-by-hand.ts";
import { turnedClock } from "./turned-clock.ts";

const start_s = 1_700_000_000;
let folder: string;
let at: House | undefined;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), "alarms-"));
});
afterEach(async () => {
  await at?.close();
  rmSync(folder, { recursive: true });
});

const path = () => join(folder, "alarms.sqlite");
const water = [finding("high-water", start_s)];
const both = {
  contacts: [owner, neighbour],
  call: [
    { contacts: ["owner"], after_s: 0 },
    { contacts: ["neighbour"], after_s: 900 },
  ],
};
const heard = ({ sent }: House) => sent.map(({ at_s, by, text }) => `${at_s - start_s} ${by}: ${text}`);

describe("the alarms of a house", () => {
  it("text high water after its delay to the second, call the next person until somebody answers, and tell the end", async () => {
    at = house(path(), both);
    await at.see(start_s, water, { level_m: 0.46 });
    await at.see(start_s + 30, water, { level_m: 0.46 });
    await at.clock.turnTo(start_s + 2000);
    at.service.answer("+15550100", "ok", "modem");
    await at.see(start_s + 3000, []);
    await at.clock.turnTo(start_s + 4000);
    expect(heard(at)).toEqual([
      "60 modem: Hill House: HIGH WATER. Pump stands still. Level 460 mm. Check supply, pump and outlet from a dry place. Reply OK 1.",
      "960 mail: Hill House: HIGH WATER. Pump stands still. Level 460 mm. Check supply, pump and outlet from a dry place.",
      "3300 modem: Hill House: over: High water. It lasted 50 min. Level 100 mm.",
      "3300 mail: Hill House: over: High water. It lasted 50 min. Level 100 mm.",
    ]);
  });

  it("text when the delay is over, also where the timer comes a moment early, as timers may", async () => {
    const clock = turnedClock(start_s);
    let looks = 0;
    const early: Schedule = (run, wait_s) =>
      clock.schedule(
        () => {
          if (clock.now_s() > start_s + 59.9) looks++; // before, it thinks ahead
          run();
        },
        Math.max(0, wait_s - 0.001),
      );
    at = house(path(), both, start_s, smallSite, { ...clock, schedule: early });
    await at.see(start_s, water);
    await at.clock.turnTo(start_s + 60);
    expect(at.sent.map(({ at_s }) => Math.round((at_s - start_s) * 1000))).toEqual([59_999]);
    expect(looks).toBe(1);
  });

  it("call nobody further once somebody has answered by its number", async () => {
    at = house(path(), both);
    await at.see(start_s, water);
    await at.clock.turnTo(start_s + 100);
    at.service.answer("+1 (555) 0100", " Ok 1, on my way", "modem");
    await at.clock.turnTo(start_s + 5000);
    expect(at.sent.length).toBe(1);
    expect(at.service.alarms().find(({ name }) => name === "high-water")?.acknowledged?.by).toBe("owner");
  });

  it.each(["0k 1", "ok1", "OK #1.", "Reply OK 1.", "1", "okay", '"OK 1"'])(
    "take %s for an answer, as thumbs write it",
    async (text) => {
      at = house(path(), both);
      await at.see(start_s, water);
      await at.clock.turnTo(start_s + 100);
      at.service.answer("+15550100", text, "modem");
      expect(at.service.alarms().find(({ name }) => name === "high-water")?.acknowledged?.by).toBe("owner");
    },
  );

  it("take no answer from a stranger, nor one that says something else", async () => {
    at = house(path(), both);
    await at.see(start_s, water);
    await at.clock.turnTo(start_s + 100);
    at.service.answer("+1 555 0199", "ok", "modem");
    at.service.answer("+1 555 0100", "who is this?", "modem");
    at.service.answer("+1 555 0100", "2 pm is fine, oklahoma", "modem");
    await at.clock.turnTo(start_s + 1000);
    expect(at.sent.length).toBe(2);
  });

  it("tell whoever answers with a wrong number that nobody has answered, but not for ever, and go on calling", async () => {
    at = house(path(), { ...both, contacts: [{ ...owner, quiet: { from_min: 0, to_min: 1439 } }, neighbour] });
    await at.see(start_s, water);
    for (const [i, text] of ["OK 9", "OK 9", "99999999999", "OK 8", "OK 7"].entries()) {
      await at.clock.turnTo(start_s + 100 + 20 * i);
      at.service.answer("+1 555 0100", text, "modem");
    }
    await at.clock.turnTo(start_s + 1000);
    const fits = (number: string) =>
      `Hill House: Your answer ${number} fits no alarm that lasts, so it counts for none. If you see to it, reply OK without a number.`;
    expect(heard(at).map((line) => line.replace(/HIGH WATER.*/, "HIGH WATER"))).toEqual([
      "60 modem: Hill House: HIGH WATER",
      `100 modem: ${fits("9")}`,
      `140 modem: ${fits("99999999999")}`,
      `180 modem: ${fits("7")}`,
      "960 mail: Hill House: HIGH WATER",
    ]);
    at.service.answer("+1 555 0100", "ok", "modem");
    at.service.answer("+1 555 0100", "OK 9", "modem");
    await at.clock.turnTo(start_s + 1900);
    expect(at.sent.length).toBe(5);
  });

  it("try another way at once, and again after growing pauses, until one works", async () => {
    at = house(path(), {
      ...both,
      contacts: [{ ...owner, reach: [...owner.reach, ...neighbour.reach] }],
      call: [{ contacts: ["owner"], after_s: 0 }],
    });
    at.answer("modem", { is: "failed", reason: "no network", again: true });
    at.answer("mail", { is: "failed", reason: "no such host", again: true });
    await at.see(start_s, water);
    await at.clock.turnTo(start_s + 100);
    at.answer("modem", { is: "handed-over" });
    await at.clock.turnTo(start_s + 1000);
    expect(at.sent.map(({ at_s, by }) => `${at_s - start_s} ${by}`)).toEqual([
      "60 modem",
      "60 mail",
      "65 modem",
      "65 mail",
      "75 modem",
      "75 mail",
      "95 modem",
      "95 mail",
      "135 modem",
    ]);
  });

  it("hold back in quiet hours what is not of high priority", async () => {
    // 1,700,000,000 is 22:13:20 UTC.
    at = house(path(), {
      contacts: [{ ...owner, quiet: { from_min: 22 * 60, to_min: 7 * 60 } }],
      call: [{ contacts: ["owner"], after_s: 0 }],
    });
    await at.see(start_s, [...water, finding("short-cycling", start_s)]);
    await at.see(start_s + 1000, [...water, finding("short-cycling", start_s)]);
    await at.clock.turnTo(start_s + 86_400);
    expect(at.sent.map(({ at_s, subject }) => `${at_s - start_s} ${subject}`)).toEqual([
      "60 Hill House: HIGH WATER",
      `${9 * 3600 - 800} Hill House: Pump starts too often`,
    ]);
  });

  it("make of a flood one message that names the first cause", async () => {
    at = house(path(), { contacts: [owner], call: [{ contacts: ["owner"], after_s: 0 }] });
    await at.see(start_s, [finding("power-lost", start_s)]);
    await at.see(start_s + 100, [
      finding("power-lost", start_s),
      finding("float-stuck-off", start_s + 80),
      finding("high-water", start_s + 70),
    ]);
    await at.clock.turnTo(start_s + 1000);
    expect(at.sent.map(({ at_s, subject }) => `${at_s - start_s} ${subject}`)).toEqual([
      "130 Hill House: SUPPLY LOST, then HIGH WATER",
    ]);
  });

  it("mark what may have been sent before the power went", async () => {
    at = house(path(), both);
    at.answer("modem", { is: "failed", reason: "cut", again: true });
    await at.see(start_s, water);
    await at.clock.turnTo(start_s + 60.5);
    const [message] = at.service.outbox.waiting();
    at.service.outbox.change([message?.id ?? 0], { state: "sending" });
    await at.close();
    at = house(path(), both, start_s + 120);
    await at.clock.turnTo(start_s + 130);
    expect(at.sent[0]?.text).toContain("(Perhaps sent before.)");
  });

  it("send a test to one way of a contact, and say when it was last proven", async () => {
    at = house(path(), both);
    at.service.test("owner", "modem");
    await at.clock.turnTo(start_s + 1);
    expect(at.sent[0]?.text).toBe("Hill House: Test of the alarms. Nothing is wrong. If you can read this, it works.");
    expect(at.service.outbox.proven()).toEqual([{ contact: "owner", by: "modem", at_s: start_s }]);
    expect(() => at?.service.test("owner", "mail")).toThrow(
      "expected a contact and one of its channels, found owner by mail",
    );
  });

  it("send no second test right after the first, and count as proven what was handed on", async () => {
    at = house(path(), both);
    at.answer("mail", { is: "handed-over" });
    at.service.test("neighbour", null);
    await at.clock.turnTo(start_s + 10);
    expect(() => at?.service.test("neighbour", "mail")).toThrow(
      "expected 30 s between two tests of one way, found 10 s for neighbour by mail",
    );
    at.service.test("owner", null);
    await at.clock.turnTo(start_s + 31);
    at.service.test("neighbour", "mail");
    await at.clock.turnTo(start_s + 32);
    expect(at.sent.map(({ by }) => by)).toEqual(["mail", "modem", "mail"]);
    expect(at.service.outbox.proven().map(({ contact }) => contact)).toContain("neighbour");
  });

  it("do not look a thousand times a second for what nobody can say yet", async () => {
    at = house(path(), both);
    await at.see(start_s, [], {}, { silentSince_s: start_s - 10 });
    let looks = 0;
    const counted = {
      ...calm,
      get openFindings() {
        looks++;
        return [];
      },
    };
    await at.see(start_s + 100, [], {}, { silentSince_s: undefined });
    at.service.see(counted);
    looks = 0;
    await at.clock.turnTo(start_s + 640);
    // Once a second from the minute on in which it would have been told.
    expect(looks / alarmNames.length).toBeLessThan(100);
  });

  it("know their own links, and no others", async () => {
    at = house(path(), { ...both, pageAddress: "https://basin.example.org" });
    await at.see(start_s, water);
    await at.clock.turnTo(start_s + 61);
    const token = at.sent[0]?.link?.split("/ack/")[1] ?? "";
    expect(at.service.toldByLink(token)).toMatchObject({ contact: "owner", alarms: [{ name: "high-water" }] });
    expect(at.service.toldByLink(`${token}x`)).toBeNull();
    expect(at.service.toldByLink("")).toBeNull();
  });

  it("silence what sounds for an alarm once somebody has acknowledged it, and once it is over", async () => {
    at = house(path(), both);
    await at.see(start_s, water);
    await at.clock.turnTo(start_s + 61);
    expect(at.silenced).toEqual([]);
    at.service.answer("+15550100", "ok", "modem");
    expect(new Set(at.silenced)).toEqual(new Set(["modem high-water-1", "mail high-water-1"]));
    at.silenced.length = 0;
    await at.see(start_s + 100, []);
    await at.clock.turnTo(start_s + 1000);
    expect(at.silenced).toEqual(["modem high-water-1", "mail high-water-1"]);
  });

  it("go on sounding after a restart for what nobody has answered, and for nothing else", async () => {
    at = house(path(), both);
    await at.see(start_s, [finding("high-water", start_s), finding("sensor-fault", start_s)]);
    await at.clock.turnTo(start_s + 4000);
    at.service.acknowledge("sensor-lost", "the page");
    await at.close();
    at = house(path(), both, start_s + 5000);
    expect(at.resumed).toEqual(["modem +1 555 0100 high-water-1 high", "mail n@example.org high-water-1 high"]);
    expect(at.silenced).toEqual(["modem sensor-lost-1", "mail sensor-lost-1"]);
    at.service.acknowledge("high-water", "the page");
    await at.close();
    at = house(path(), both, start_s + 6000);
    expect(at.resumed).toEqual([]);
  });
});
