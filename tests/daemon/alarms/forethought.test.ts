import { cpSync, mkdirSync, mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import type { AlarmRecord } from "../../../analysis/alarms/alarm-record.ts";
import type { Finding } from "../../../analysis/findings/finding.ts";
import { openOutbox } from "../../../daemon/alarms/outbox/outbox.ts";
import { calm, finding } from "../../analysis/alarms/alarm-input.ts";
import { type House, house, neighbour, owner } from "./told-by-hand.ts";

const start_s = 1_700_000_000;
/** High water is told then. */
const due_s = start_s + 60;
const config = {
  contacts: [owner, neighbour],
  call: [
    { contacts: ["owner"], after_s: 0 },
    { contacts: ["neighbour"], after_s: 120 },
  ],
};
let folder: string;
let houses: House[];
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), "forethought-"));
  mkdirSync(join(folder, "house"));
  houses = [];
});
afterEach(async () => {
  for (const each of houses) await each.close();
  rmSync(folder, { recursive: true });
});

const water = [finding("high-water", start_s)];

function begin(name = "house", from_s = start_s): House {
  const begun = house(join(folder, name, "alarms.sqlite"), config, from_s);
  houses.push(begun);
  return begun;
}

async function rising(findings: readonly Finding[] = water): Promise<House> {
  const at = begin();
  for (const time_s of [start_s, start_s + 30])
    await at.see(time_s, findings, { level_m: 0.46, levelRate_ms: 0, mainsOn: false });
  return at;
}

/** Where what a power cut leaves is. */
function cutOff(): string {
  const name = `cut ${houses.length}`;
  cpSync(join(folder, "house"), join(folder, name), { recursive: true });
  return name;
}

function onCard(): string[] {
  const outbox = openOutbox(join(folder, cutOff(), "alarms.sqlite"), { now_s: () => due_s });
  const found = outbox.messages(9).map(({ contact, state, maybeSent }) => `${contact} ${state} ${maybeSent}`);
  outbox.close();
  rmSync(join(folder, `cut ${houses.length}`), { recursive: true });
  return found;
}

const told = ({ sent }: House) =>
  sent.map(({ at_s, to, maybeRepeated }) => `${at_s - start_s} ${to} ${maybeRepeated ? "perhaps again" : ""}`.trim());
const before = ["neighbour waiting false", "owner waiting true"];

describe("what is about to be told", () => {
  it("is on the card a moment before, shows nowhere until its time has come, and leaves then", async () => {
    const at = await rising();
    await at.clock.turnTo(due_s - 0.3);
    expect(onCard()).toEqual([]);
    await at.clock.turnTo(due_s - 0.1);
    expect(onCard()).toEqual(before);
    expect(at.sent).toEqual([]);
    expect(at.service.outbox.messages(9)).toEqual([]);
    expect(at.service.outbox.journal(0)).toEqual([]);
    await at.clock.turnTo(due_s + 200);
    expect(told(at)).toEqual(["60 +1 555 0100", "180 n@example.org"]);
    expect(at.service.outbox.journal(0).map(({ kind, at_s }) => `${kind} ${at_s - start_s}`)).toEqual(["raised 60"]);
    expect(onCard()).toEqual(["neighbour sent false", "owner sent false"]);
  });

  it("goes from the card when it is over before its time", async () => {
    const at = await rising();
    await at.clock.turnTo(due_s - 0.2);
    expect(onCard()).toEqual(before);
    await at.see(due_s - 0.1, []);
    expect(onCard()).toEqual([]);
    await at.clock.turnTo(due_s + 900);
    expect(at.sent).toEqual([]);
  });

  it("is told with what is true at its time, where that is another thing", async () => {
    const at = await rising();
    await at.clock.turnTo(due_s - 0.2);
    await at.see(due_s - 0.1, water, { level_m: 0.46, mainsOn: true });
    await at.clock.turnTo(due_s + 1);
    expect(at.sent.map(({ text }) => text)).toEqual([
      "Hill House: HIGH WATER. Pump stands still, supply on. Level 460 mm. Check supply, pump and outlet from a dry place. Reply OK 1.",
    ]);
    expect(onCard()).toEqual(["neighbour waiting false", "owner sent false"]);
  });

  it("stays when the next reading says the same but for a sensor's noise", async () => {
    const at = await rising();
    await at.clock.turnTo(due_s - 0.2);
    await at.see(due_s - 0.1, water, { level_m: 0.461, levelRate_ms: 4e-6, mainsOn: false });
    expect(onCard()).toEqual(before);
    await at.clock.turnTo(due_s + 1);
    expect(told(at)).toEqual(["60 +1 555 0100"]);
    expect(at.sent[0]?.text).toContain("Level 460 mm."); // as it stands on the card
  });

  it("is told as anything else where something else was written meanwhile", async () => {
    const at = await rising();
    await at.clock.turnTo(due_s - 0.1);
    at.service.outbox.setNote("more", "1");
    expect(onCard()).toEqual([]);
    await at.clock.turnTo(due_s + 1);
    expect(told(at)).toEqual(["60 +1 555 0100"]);
    expect(onCard()).toEqual(["neighbour waiting false", "owner sent false"]);
  });

  it("is told after a power cut in that moment, as what may have been told, and its end in its time", async () => {
    const at = await rising();
    await at.clock.turnTo(due_s - 0.1);
    const after = begin(cutOff(), due_s + 20);
    await after.see(due_s + 20, water, { level_m: 0.46, mainsOn: false });
    await after.see(due_s + 60, []);
    await after.clock.turnTo(due_s + 600);
    expect(told(after)).toEqual([
      ...["80 +1 555 0100 perhaps again", "180 n@example.org"],
      ...["420 +1 555 0100", "420 n@example.org"],
    ]);
  });

  it("is not on the card when it is not put there, which the end of the daemon is", async () => {
    const at = await rising();
    await at.clock.turnTo(due_s - 0.1);
    await at.close();
    expect(onCard()).toEqual([]);
  });

  it("is not foreseen for another time, when the process stood still", async () => {
    const at = await rising();
    await at.clock.turnTo(due_s - 0.1);
    at.clock.passTo(due_s + 3600);
    await at.see(due_s + 3600, water, { level_m: 0.46, mainsOn: false });
    expect(told(at)).toEqual(["3660 +1 555 0100"]);
    expect(at.service.outbox.journal(0).map(({ kind, at_s }) => `${kind} ${at_s - start_s}`)).toEqual(["raised 3660"]);
  });

  it("goes from the card when the clock is set back, until its time comes again", async () => {
    const at = await rising();
    await at.clock.turnTo(due_s - 0.1);
    at.clock.passTo(due_s - 50);
    await at.see(due_s - 50, water, { level_m: 0.46, mainsOn: false });
    expect(onCard()).toEqual([]);
    await at.clock.turnTo(due_s + 1);
    expect(told(at)).toEqual(["60 +1 555 0100"]);
  });

  it("is told with the level of its time, where that is clearly another one", async () => {
    const at = await rising();
    await at.clock.turnTo(due_s - 0.2);
    await at.see(due_s - 0.1, water, { level_m: 0.52, mainsOn: false });
    await at.clock.turnTo(due_s + 1);
    expect(at.sent.map(({ text }) => text).join()).toContain("Level 520 mm.");
  });

  /** A reading that comes right at its time, before anybody looks. */
  async function readAtItsTime(at: House, openFindings: readonly Finding[]): Promise<void> {
    await at.clock.turnTo(due_s - 0.1);
    at.clock.passTo(due_s);
    at.service.see({ ...calm, time_s: due_s, openFindings, level_m: 0.46, mainsOn: false });
    await at.clock.turnTo(due_s + 1);
    expect(told(at)).toEqual(["60 +1 555 0100"]);
  }

  it("is told with a beginning that is known better by then", async () => {
    const at = await rising();
    await readAtItsTime(at, [finding("high-water", start_s - 5)]);
    expect(at.service.outbox.messages(1)[0]?.from_s).toBe(start_s - 5);
  });

  it("keeps how the other alarms stand by then, too", async () => {
    // High water speaks for it.
    const at = await rising([...water, finding("undersized", start_s)]);
    await readAtItsTime(at, [...water, finding("undersized", start_s - 3600)]);
    const states = (alarms: readonly AlarmRecord[]) => alarms.map(({ name, state }) => `${name} ${state}`);
    expect(states(at.service.alarms())).toContain("pump-too-small unacknowledged");
    expect(states(at.service.outbox.alarms())).toEqual(states(at.service.alarms()));
  });
});
