import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { nobodyTold } from "../../../../daemon/alarms/alarms-config.ts";
import { createBatteryWatch, readBattery } from "../../../../daemon/alarms/care/board-battery.ts";
import { createDrySpell } from "../../../../daemon/alarms/care/dry-spell.ts";
import { houseHabits } from "../../../../daemon/alarms/care/house-habits.ts";
import { createSilenceWatch } from "../../../../daemon/alarms/care/silence.ts";
import { watchOverItself } from "../../../../daemon/alarms/care/watch-over-itself.ts";
import { calm } from "../../../analysis/alarms/alarm-input.ts";

const day_s = 86_400;
const emptyStore = { cycles: () => [], inflow: () => [] };

describe("the board's battery", () => {
  it("is read as the kernel shows it, and not made up where there is none", () => {
    const root = mkdtempSync(join(tmpdir(), "supplies-"));
    for (const [name, files] of Object.entries({
      AC: { type: "Mains", online: "1" },
      BAT0: { type: "Battery", capacity: "37", status: "Discharging" },
    })) {
      mkdirSync(join(root, name));
      for (const [file, text] of Object.entries(files)) writeFileSync(join(root, name, file), `${text}\n`);
    }
    expect(readBattery(null, root)).toEqual({ share: 0.37, discharging: true });
    expect(readBattery(join(root, "AC"), root)).toBeNull();
    expect(readBattery(null, join(root, "nowhere"))).toBeNull();
    rmSync(root, { recursive: true });
  });

  it("is low under 20 % and well from 25 % on, and only while it is drawn on", () => {
    const watch = createBatteryWatch();
    const at = (share: number, now_s: number, discharging = true) =>
      watch({ share, discharging }, now_s)?.since_s ?? null;
    expect([at(0.21, 1), at(0.19, 2), at(0.22, 3), at(0.26, 4), at(0.22, 5)]).toEqual([null, 2, 2, null, null]);
    expect([at(0.1, 6), at(0.1, 7, false)]).toEqual([6, null]);
  });
});

describe("a dry spell", () => {
  it("is known only after three days of a gauge that speaks", () => {
    const spell = createDrySpell();
    const found = Array.from({ length: 4 * 24 + 1 }, (_, k) => {
      spell.push(k * 3600, k === 5 ? 0.004 : 0);
      return spell.isDry(k * 3600);
    });
    expect([found[71], found[72], found[77], found[78]]).toEqual([null, false, false, true]);
    expect(spell.isDry(6 * day_s)).toBeNull();
  });
});

describe("silence", () => {
  it("is that of a sensor that speaks regularly, after twenty of its intervals and five minutes at least", () => {
    const watch = createSilenceWatch();
    for (let k = 0; k <= 40; k++) watch.since(k * 60, k * 60);
    expect([watch.since(2400, 3599), watch.since(2400, 3601)]).toEqual([null, 2400]);
  });

  it("of a contact that speaks when it changes is nothing", () => {
    const watch = createSilenceWatch();
    for (let k = 0; k <= 40; k++) watch.since(k * 600 + (k % 2) * 580, k * 600 + (k % 2) * 580);
    expect(watch.since(24_000, 24_000 + 30 * day_s)).toBeNull();
  });
});

describe("silence after a start", () => {
  const before_s = Array.from({ length: 31 }, (_, k) => k * 60);
  it("is that of a sensor that spoke before, once it could have been heard for long enough; until then nobody can say", () => {
    const watch = createSilenceWatch(10_000, before_s);
    expect([watch.since(1800, 10_001), watch.since(1800, 11_199)]).toEqual([undefined, undefined]);
    expect(watch.since(1800, 11_201)).toBe(10_000);
    expect(watch.since(11_202, 11_202)).toBeNull();
    expect(watch.since(11_202, 11_202 + 1201)).toBe(11_202);
  });

  it.each([0.01, 2])("is missed, too, of one that says its topics one after another, %s s apart", (apart_s) => {
    const inOneGo_s = before_s.flatMap((time_s) => [time_s, time_s + apart_s, time_s + 2 * apart_s]);
    const last_s = 1800 + 2 * apart_s;
    expect(createSilenceWatch(10_000, inOneGo_s).since(last_s, 11_201)).toBe(10_000);
    const watch = createSilenceWatch();
    for (const time_s of inOneGo_s) watch.since(time_s, time_s);
    expect([watch.since(last_s, 2999), watch.since(last_s, last_s + 1201)]).toEqual([null, last_s]);
  });

  it("is missed after five minutes of one that spoke ten times a second", () => {
    const quick_s = Array.from({ length: 1600 }, (_, k) => 1800 - (1599 - k) * 0.1);
    expect(createSilenceWatch(10_000, quick_s).since(1800, 10_301)).toBe(10_000);
  });
});

describe("what is usual for a house", () => {
  const run = (startedAt_s: number, rest_s: number) => ({ stoppedAt_s: startedAt_s + 20, rest_s }) as never;

  it("is twice the longest rest it has seen, and no less than a week", () => {
    const often = Array.from({ length: 40 }, (_, k) => run(1e6 - k * 3600, 3580));
    expect(houseHabits({ ...emptyStore, cycles: () => often }, 1e6).unusualPause_s).toBe(7 * day_s);
    const seldom = Array.from({ length: 40 }, (_, k) => run(1e8 - k * 6 * day_s, 6 * day_s));
    expect(houseHabits({ ...emptyStore, cycles: () => seldom }, 1e8).unusualPause_s).toBe(12 * day_s);
    expect(houseHabits(emptyStore, 1e8).unusualPause_s).toBeNull();
  });

  it("counts a pause from where a record that was put back has something again", () => {
    const last = { ...emptyStore, cycles: () => [run(1e6, 3580)] };
    expect(houseHabits(last, 2e6).lastRun_s).toBe(1e6 + 20);
    const putBack = () => ({ at_s: 1.9e6, from_s: 1.1e6, to_s: 1.8e6, aside: null });
    expect(houseHabits({ ...last, putBack }, 2e6).lastRun_s).toBe(1.8e6);
    expect(houseHabits({ ...last, putBack, cycles: () => [run(1.95e6, 3580)] }, 2e6).lastRun_s).toBe(1.95e6 + 20);
  });

  it("is the day in the middle of the last sixty, and today's beside it", () => {
    const now_s = 100 * day_s;
    const inflow = () =>
      Array.from({ length: 61 }, (_, k) => ({
        from_s: now_s - (k + 1) * day_s,
        to_s: now_s - k * day_s,
        inflow_m3s: (k === 0 ? 3 : 1) / day_s,
        uInflow_m3s: 0,
      }));
    const { inflowDay_m3, usualDay_m3 } = houseHabits({ ...emptyStore, inflow }, now_s);
    expect(inflowDay_m3).toBeCloseTo(3, 9);
    expect(usualDay_m3).toBeCloseTo(1, 9);
  });
});

describe("the daemon's watch over itself", () => {
  const watch = (changes: object = {}) =>
    watchOverItself({
      config: nobodyTold,
      store: emptyStore,
      sources: () => [],
      now_s: () => 1_000_000,
      recordEnd_s: null,
      serviceDue_s: () => null,
      battery: () => null,
      ...changes,
    }).care(calm);

  it("tells of a time in which nothing was watched, not of a restart", () => {
    expect(watch({ recordEnd_s: 1_000_000 - 500 }).interrupted).toBeNull();
    expect(watch({ recordEnd_s: 1_000_000 - 5000 }).interrupted).toEqual({ from_s: 995_000, to_s: 1_000_000 });
  });

  it("takes a float that said nothing for days for no interruption, as long as the board kept saying that it lives", () => {
    const kept: number[] = [];
    const quiet = { recordEnd_s: 1_000_000 - 5 * day_s, keepAlive: (time_s: number) => kept.push(time_s) };
    expect(watch({ ...quiet, lastAlive_s: 1_000_000 - 300 }).interrupted).toBeNull();
    expect(watch({ ...quiet, lastAlive_s: 1_000_000 - 4000 }).interrupted).toEqual({
      from_s: 996_000,
      to_s: 1_000_000,
    });
    expect(watch({ ...quiet, lastAlive_s: null }).interrupted?.from_s).toBe(1_000_000 - 5 * day_s);
  });
});

it("the house' habits are looked up when the turn is over that asks for them, and stay known where the record cannot be read", () => {
  let now_s = 1_700_000_000;
  let looked = 0;
  let fails = false;
  const turns: (() => void)[] = [];
  const self = watchOverItself({
    config: nobodyTold,
    store: {
      cycles() {
        looked++;
        if (fails) throw new Error("disk I/O error");
        return [];
      },
      inflow: () => [],
    },
    sources: () => [],
    now_s: () => now_s,
    recordEnd_s: null,
    serviceDue_s: () => null,
    battery: () => null,
    later: (work) => turns.push(work),
  });
  self.care(calm);
  expect([looked, turns.length]).toEqual([1, 0]);
  now_s += 3600;
  self.care(calm);
  expect(looked).toBe(1);
  fails = true;
  for (const work of turns.splice(0)) work();
  expect(looked).toBe(2);
  expect(self.care(calm).lastRun_s).toBeNull();
});
