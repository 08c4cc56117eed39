// Who is called after whom, until when: rounds, causes that speak for what was told before them, proofs that fail.

import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import type { Contact } from "../../../daemon/alarms/alarms-config.ts";
import { nobodyTold } from "../../../daemon/alarms/alarms-config.ts";
import { finding } from "../../analysis/alarms/alarm-input.ts";
import { smallSite } from "../../analysis/small-basin.ts";
import { type House, house, neighbour, owner } from "./told-by-hand.ts";

// 1,700,000,000 is 2023-11-14 22:13:20 UTC.
const start_s = 1_700_000_000;
let folder: string;
let at: House;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), "escalation-"));
});
afterEach(async () => {
  await at.close();
  rmSync(folder, { recursive: true });
});

const path = () => join(folder, "alarms.sqlite");
const water = [finding("high-water", start_s)];
const { callAgain } = nobodyTold;
const both = {
  callAgain,
  contacts: [owner, neighbour],
  call: [
    { contacts: ["owner"], after_s: 0 },
    { contacts: ["neighbour"], after_s: 600 },
  ],
};
const heard = () => at.sent.map(({ at_s, by, subject }) => `${at_s - start_s} ${by}: ${subject.slice(12)}`);

describe("the call", () => {
  it("goes round again while nobody answers what is of high priority, each pause twice the one before, five times", async () => {
    at = house(path(), both);
    await at.see(start_s, water);
    await at.clock.turnTo(start_s + 86_400);
    // Each round begins 15 min after the last step, then 30, 60, 120, 240.
    expect(heard()).toEqual([
      "60 modem: HIGH WATER",
      "660 mail: HIGH WATER",
      "1560 modem: HIGH WATER, STILL",
      "2160 mail: HIGH WATER, STILL",
      "3960 modem: HIGH WATER, STILL",
      "4560 mail: HIGH WATER, STILL",
      "8160 modem: HIGH WATER, STILL",
      "8760 mail: HIGH WATER, STILL",
      "15960 modem: HIGH WATER, STILL",
      "16560 mail: HIGH WATER, STILL",
      "30960 modem: HIGH WATER, STILL",
      "31560 mail: HIGH WATER, STILL",
    ]);
    expect(at.sent[2]?.text).toContain("HIGH WATER, STILL. Nobody has answered.");
  });

  it("ends with an answer, or when it is over, whichever is first", async () => {
    at = house(path(), both);
    await at.see(start_s, water);
    await at.clock.turnTo(start_s + 1600);
    at.service.answer("+1 555 0100", "OK", "modem");
    await at.see(start_s + 3000, []);
    await at.see(start_s + 5000, [finding("high-water", start_s + 5000)]);
    await at.see(start_s + 5100, []);
    await at.clock.turnTo(start_s + 40_000);
    expect(heard().slice(3)).toEqual([
      "3300 modem: over: High water",
      "3300 mail: over: High water",
      "5060 modem: HIGH WATER",
      "5400 modem: over: High water",
    ]);
  });

  it("goes round a moment earlier where it has become worse just then: two messages say no more than one", async () => {
    at = house(path(), both);
    await at.see(start_s, water, { level_m: 0.46 });
    await at.see(start_s + 1500, water, { level_m: 0.54 });
    await at.clock.turnTo(start_s + 3000);
    expect(heard()).toEqual([
      "60 modem: HIGH WATER",
      "660 mail: HIGH WATER",
      "1500 modem: HIGH WATER, WORSE",
      "1500 mail: HIGH WATER, WORSE",
      "2160 mail: HIGH WATER, STILL",
    ]);
  });

  it("foretells nothing by a level that has been lost for two minutes", async () => {
    at = house(path(), both);
    for (let s = 0; s <= 300; s += 10) await at.see(start_s + s, water, { level_m: 0.46 + s * 1e-4 });
    for (let s = 310; s <= 1600; s += 10) await at.see(start_s + s, water, { level_m: null, highFloat: true });
    const [first, , third] = at.sent.map(({ text }) => text);
    expect(first).toContain("loor in about");
    expect(third).toBe(
      "Hill House: HIGH WATER, STILL. Nobody has answered. Pump stands still. Check supply, pump and outlet from a dry place. Reply OK 3.",
    );
  });

  it("ends where the site file keeps the alarm on the page since the start", async () => {
    at = house(path(), both);
    await at.see(start_s, water);
    await at.clock.turnTo(start_s + 100);
    await at.close();
    at = house(path(), { ...both, changes: { "high-water": { tell: false } } }, start_s + 200);
    await at.see(start_s + 200, water);
    await at.clock.turnTo(start_s + 86_400);
    expect(heard()).toEqual([]);
  });

  it("makes one message of the calls for two alarms that come within two minutes", async () => {
    at = house(path(), { ...both, callAgain: { after_s: 900, times: 1 } });
    await at.see(start_s, water);
    await at.see(start_s + 70, [...water, finding("float-stuck-off", start_s + 10)]);
    await at.clock.turnTo(start_s + 86_400);
    expect(heard()).toEqual([
      "60 modem: HIGH WATER",
      "70 modem: PUMP DOES NOT START",
      "660 mail: HIGH WATER, then PUMP DOES NOT START",
      "1560 modem: HIGH WATER, STILL, then PUMP DOES NOT START, STILL",
      "2160 mail: HIGH WATER, STILL, then PUMP DOES NOT START, STILL",
    ]);
  });

  it("is made once of what is of lower priority", async () => {
    at = house(path(), both);
    await at.see(start_s, [finding("power-lost", start_s)]);
    await at.clock.turnTo(start_s + 86_400);
    expect(heard()).toEqual(["140 modem: SUPPLY LOST", "740 mail: SUPPLY LOST"]);
  });

  it("reaches each of two people whose names begin alike", async () => {
    const names = ["Neighbour left", "Neighbour right"];
    at = house(path(), {
      contacts: names.map((name) => ({ ...owner, name })),
      call: [{ contacts: names, after_s: 0 }],
    });
    await at.see(start_s, water);
    await at.clock.turnTo(start_s + 100);
    expect(at.sent.length).toBe(2);
  });
});

describe("what was told before its cause", () => {
  const stuck = finding("float-stuck-off", start_s);
  const lost = finding("power-lost", start_s + 100);

  it("is no longer called once the cause says it, and is news again when the cause is over and it is not", async () => {
    at = house(path(), both);
    await at.see(start_s, [stuck]);
    await at.see(start_s + 100, [stuck, lost]);
    await at.see(start_s + 4000, [stuck]);
    await at.clock.turnTo(start_s + 4100);
    expect(heard()).toEqual([
      "60 modem: PUMP DOES NOT START",
      "240 modem: SUPPLY LOST",
      "840 mail: SUPPLY LOST",
      "4060 modem: PUMP DOES NOT START; Supply is back",
      "4080 mail: Supply is back",
    ]);
  });

  it("is called on where it stood when the cause was too short to be told", async () => {
    at = house(path(), both);
    await at.see(start_s, [stuck]);
    await at.see(start_s + 100, [stuck, lost]);
    await at.see(start_s + 150, [stuck]);
    await at.clock.turnTo(start_s + 1600);
    expect(heard()).toEqual([
      "60 modem: PUMP DOES NOT START",
      "660 mail: PUMP DOES NOT START",
      "1560 modem: PUMP DOES NOT START, STILL",
    ]);
  });
});

it("a battery that runs low in a power cut wakes people: nobody could be told in the morning of what quiet hours kept back", async () => {
  const quiet = { from_min: 22 * 60, to_min: 7 * 60 };
  at = house(path(), { contacts: [{ ...owner, quiet }], call: [{ contacts: ["owner"], after_s: 0 }] });
  const lost = [finding("power-lost", start_s)];
  await at.see(start_s, lost, { mainsOn: false });
  const boardBattery = { share: 0.19, discharging: true, since_s: start_s + 7200 };
  await at.see(start_s + 7200, lost, { mainsOn: false }, { boardBattery });
  await at.clock.turnTo(start_s + 7300);
  expect(at.sent.map(({ at_s, text }) => `${at_s - start_s} ${text}`)).toEqual([
    "7260 Hill House: BATTERY OF THE MONITOR LOW. Charge 19%. No supply. Restore its supply or change the battery. Reply OK 2.",
  ]);
});

it("a supply that comes and goes is told once from the third time on, and over once it has been there for an hour, as what it was", async () => {
  at = house(path(), { contacts: [owner], call: [{ contacts: ["owner"], after_s: 0 }] });
  for (let k = 0; k < 5; k++) {
    await at.see(start_s + 600 * k, [finding("power-lost", start_s + 600 * k)], { mainsOn: false });
    await at.clock.turnTo(start_s + 600 * k + 299);
    await at.see(start_s + 600 * k + 300, [], { mainsOn: true });
  }
  await at.clock.turnTo(start_s + 20_000);
  // Two cuts are told, each with its end; the third is one that comes and goes.
  expect(at.sent.map(({ at_s, text }) => `${at_s - start_s} ${text.replace(/ (Level|Check).*/, "")}`)).toEqual([
    "140 Hill House: SUPPLY LOST. Pump stands still, no supply.",
    "380 Hill House: Supply is back. It was gone for 5 min.",
    "740 Hill House: SUPPLY LOST. Pump stands still, no supply.",
    "980 Hill House: Supply is back. It was gone for 5 min.",
    "1340 Hill House: SUPPLY LOST. It comes and goes. Pump stands still, no supply.",
    "6320 Hill House: Supply is back. It came and went for 25 min.",
  ]);
});

describe("a supply that is lost in quiet hours", () => {
  const lost = [finding("power-lost", start_s)];
  const quiet = { from_min: 22 * 60, to_min: 7 * 60 };
  const basin = { ...smallSite.basin, highLevel_m: null };
  /** Rises by 5 mm a minute, over the start level of 0.3 m after 50 min; nothing but the level tells of high water. */
  const night = async (contacts: readonly Contact[]) => {
    const call = contacts.map(({ name }, i) => ({ contacts: [name], after_s: 600 * i }));
    at = house(path(), { callAgain, contacts, call }, start_s, { ...smallSite, basin });
    for (let s = 0; s <= 80 * 60; s += 10) {
      await at.see(start_s + s, lost, { level_m: 0.05 + (s / 60) * 0.005, mainsOn: false, pumpRunning: false });
    }
  };

  it("wakes by the pump that cannot start once the water is over its start level", async () => {
    await night([{ ...owner, quiet }]);
    // 62 min to be 6 cm over the start level, and a minute.
    expect(heard()).toEqual(["3780 modem: PUMP DOES NOT START", "4680 modem: PUMP DOES NOT START, STILL"]);
    expect(at.sent[0]?.text).toContain("Floor in about 47 min. Pump stands still, no supply.");
    at.service.answer("+1 555 0100", "OK", "modem");
    expect(at.service.alarms().filter(({ state }) => state === "acknowledged")).toHaveLength(1);
  });

  it("is left at that where somebody who is not asleep was told", async () => {
    await night([{ ...owner, quiet }, neighbour]);
    expect(heard()).toEqual(["740 mail: SUPPLY LOST"]);
  });
});

describe("a monthly proof", () => {
  const proof = { contacts: [neighbour, { ...owner, name: "Ann" }], call: [], monthlyProof: true };
  // 2023-12-01 10:00 UTC, and nothing before: a new board has been tested by hand.
  const first_s = Date.UTC(2023, 11, 1, 10) / 1000;

  it("that fails is tried again for a day, then told to whoever else is reached, and stands on the page", async () => {
    at = house(path(), proof);
    await at.see(start_s, []);
    await at.clock.turnTo(Date.UTC(2023, 10, 15, 10) / 1000);
    await at.see(Date.UTC(2023, 10, 15, 10) / 1000, []);
    at.answer("mail", { is: "failed", reason: "no such mailbox", again: true });
    await at.see(first_s, []);
    await at.clock.turnTo(first_s + 2 * 86_400);
    const tries = at.sent.filter(({ by }) => by === "mail").length;
    expect(tries).toBeGreaterThan(10);
    expect(tries).toBeLessThan(30);
    expect(at.sent.filter(({ by }) => by === "modem").map(({ at_s, text }) => `${at_s - first_s} ${text}`)).toEqual([
      "0 Hill House: Monthly proof of the alarms. Nothing is wrong. If you can read this, it works.",
      "86400 Hill House: The monthly proof to neighbour by mail failed: no such mailbox. An alarm would not arrive that way, either: see the page.",
    ]);
    expect(at.service.outbox.failedProofs()).toEqual([
      { contact: "neighbour", by: "mail", at_s: first_s + 86_400, reason: "no such mailbox" },
    ]);
    at.answer("mail", { is: "delivered" });
    at.service.test("neighbour", "mail");
    await at.clock.turnTo(first_s + 2 * 86_400 + 1);
    expect(at.service.outbox.failedProofs()).toEqual([]);
  });

  it("that gets through at the second attempt is proof enough", async () => {
    at = house(path(), proof);
    await at.see(Date.UTC(2023, 10, 15, 10) / 1000, []);
    at.answer("mail", { is: "failed", reason: "busy", again: true });
    await at.see(first_s, []);
    at.answer("mail", { is: "delivered" });
    await at.clock.turnTo(first_s + 2 * 86_400);
    expect(at.sent.map(({ at_s, by }) => `${at_s - first_s} ${by}`)).toEqual(["0 mail", "0 modem", "5 mail"]);
  });
});
