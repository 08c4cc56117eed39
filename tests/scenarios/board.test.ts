// What the board has to tell beside the water, by a turned clock and with the daemon's own watch over itself: who is told
// what, to the second. Delays are those of the table; low priority gathers for two minutes, medium for twenty seconds.

import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import type { Situation } from "../../analysis/analyzer.ts";
import type { Cycle } from "../../analysis/cycles/cycle.ts";
import type { BatteryCharge } from "../../daemon/alarms/care/board-battery.ts";
import { type CareParts, watchOverItself } from "../../daemon/alarms/care/watch-over-itself.ts";
import { calm } from "../analysis/alarms/alarm-input.ts";
import { smallSite } from "../analysis/small-basin.ts";
import { house, owner } from "../daemon/alarms/told-by-hand.ts";
import { turnedClock } from "../daemon/alarms/turned-clock.ts";

let folder: string;
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), "board-"));
});
afterAll(() => rmSync(folder, { recursive: true }));

const day_s = 86_400;
/** Eight in the morning in Berlin, five days after the clocks were set back. */
const start_s = Date.UTC(2026, 9, 30, 7) / 1000;
let files = 0;

function board(changes: Partial<CareParts> = {}, contact: Partial<typeof owner> | object = {}) {
  const clock = turnedClock(start_s);
  const self = watchOverItself({
    later: (work) => work(),
    config: { unusualPause_s: null, boardBattery: null },
    store: { cycles: () => [], inflow: () => [] },
    sources: () => [],
    now_s: clock.now_s,
    recordEnd_s: null,
    serviceDue_s: () => null,
    battery: () => null,
    ...changes,
  });
  const config = { contacts: [{ ...owner, ...contact }], call: [{ contacts: ["owner"], after_s: 0 }] };
  const path = join(folder, `${++files}.sqlite`);
  const at = house(path, config, start_s, { ...smallSite, timezone: "Europe/Berlin" }, clock, self.care);
  let seen_s = start_s;
  return {
    clock,
    self,
    /** As the daemon does each second, or more seldom where nothing turns on a second. */
    async live(until_s: number, step_s = 1, situation: (time_s: number) => Partial<Situation> = () => ({})) {
      for (; seen_s <= start_s + until_s; seen_s += step_s) {
        if (clock.isDueBy(seen_s)) await clock.turnTo(seen_s);
        else clock.passTo(seen_s);
        const logged = at.log.length;
        at.service.see({ ...calm, time_s: seen_s, ...situation(seen_s - start_s) });
        if (at.log.length > logged) await clock.turnTo(seen_s);
      }
      await clock.turnTo(start_s + until_s);
    },
    heard: () => at.sent.map(({ at_s, text }) => `${at_s - start_s} ${text.replace("Hill House: ", "")}`),
    close: () => at.close(),
  };
}

describe("people are told", () => {
  it("that the board's battery is low, and that it is not any more", async () => {
    let charge: BatteryCharge = { share: 0.5, discharging: true };
    const at = board({ battery: () => charge });
    await at.live(999);
    charge = { share: 0.19, discharging: true };
    await at.live(4999);
    charge = { share: 0.2, discharging: false };
    await at.live(6000);
    await at.close();
    // It is looked at each half minute: at 1020 and at 5010. A minute, and five.
    expect(at.heard()).toEqual([
      "1080 BATTERY OF THE MONITOR LOW. Charge 19%. Restore its supply or change the battery. Reply OK 1.",
      "5310 over: Battery of the monitor low. It lasted 67 min.",
    ]);
  });

  it("that the service is due, at nine in the morning of that day, and once", async () => {
    const at = board({ serviceDue_s: () => start_s + 3600 });
    await at.live(3800);
    await at.live(40 * day_s, 1800);
    await at.close();
    expect(at.heard()).toEqual(["3720 Service due. The page leads through it. Reply OK 1."]);
  });

  it("that nothing was watched for a time, and once", async () => {
    const at = board({ recordEnd_s: start_s - 5400 });
    await at.live(600);
    await at.live(2 * day_s, 600);
    await at.close();
    expect(at.heard()).toEqual([
      "120 Watch was interrupted. Nothing was watched for 90 min. Look at the basin. Reply OK 1.",
    ]);
  });

  it("nothing of a restart that took a minute", async () => {
    const at = board({ recordEnd_s: start_s - 60 });
    await at.live(day_s, 600);
    await at.close();
    expect(at.heard()).toEqual([]);
  });

  it("that nothing was pumped for twice the longest rest so far", async () => {
    const cycles = Array.from({ length: 30 }, (_, k) => run(start_s - (k + 1) * 6 * day_s, 6 * day_s));
    const at = board({ store: { cycles: () => cycles, inflow: () => [] } });
    await at.live(5 * day_s, 600);
    await at.live(7 * day_s, 60);
    await at.live(20 * day_s, 1800);
    await at.close();
    // The last run ended six days before the start: twelve days from there.
    expect(at.heard()).toEqual([
      `${6 * day_s + 120} Nothing pumped for long. No run for 12 days. Test it: pour in water until the pump starts. Reply OK 1.`,
    ]);
  });

  it("that a sensor which spoke each minute has fallen silent, and that it speaks again", async () => {
    const at = board();
    const speaks = (last_s: number) => (time_s: number) => ({
      time_s: start_s + Math.min(last_s, time_s - (time_s % 60)),
    });
    await at.live(7200, 1, speaks(3600));
    await at.live(9000, 1, speaks(1e9));
    await at.close();
    // Twenty of its minutes, then twenty seconds; ten minutes of speaking from 7201 on, when it is next looked at.
    expect(at.heard()).toEqual([
      "4821 SENSOR LOST. Nothing read for 20 min. Look at the basin, then at the sensor. Reply OK 1.",
      "7821 Sensor is back. It was gone for 60 min.",
    ]);
  });

  it("that no source gives anything, ten minutes after the last of them has failed", async () => {
    const since_s = start_s + 100;
    let failed = false;
    const source = { kind: "gpio", lastReading_s: null, accepted: 0, rejected: 0, lastRejection: null } as const;
    const at = board({
      sources: () => [
        {
          ...source,
          ...{ name: "float", state: failed ? "waiting-to-retry" : "running", since_s, error: null, retryAt_s: null },
        },
      ],
    });
    await at.live(99);
    failed = true;
    await at.live(2000);
    await at.close();
    expect(at.heard()).toEqual([
      "720 SENSOR LOST. Nothing read for 10 min. Look at the basin, then at the sensor. Reply OK 1.",
    ]);
  });
});

describe("much water in dry weather", () => {
  /** So many cubic metres on a day, counted from the start. */
  const inflow = (volume_m3: (day: number) => number) => ({
    cycles: () => [],
    inflow: ({ from_s, to_s }: { readonly from_s: number; readonly to_s: number }) =>
      Array.from({ length: Math.ceil((to_s - from_s) / 3600) }, (_, k) => {
        const at_s = from_s + k * 3600;
        const inflow_m3s = volume_m3((at_s - start_s) / day_s) / day_s;
        return { from_s: at_s, to_s: Math.min(to_s, at_s + 3600), inflow_m3s, uInflow_m3s: 0 };
      }),
  });

  async function heard(volume_m3: (day: number) => number, rain_m: (day: number) => number): Promise<string[]> {
    const at = board({ store: inflow(volume_m3) });
    for (let hour = 0; hour <= 20 * 24; hour++) {
      at.self.rain(start_s + hour * 3600, rain_m(hour / 24));
      await at.live(hour * 3600, 600);
    }
    await at.close();
    return at.heard();
  }

  it("is told once a day's is three times what is usual, an hour later", async () => {
    const told = await heard(
      (day) => (day < 10 ? 1 : 4.1),
      () => 0,
    );
    expect(told).toEqual([
      // After 16 hours a day's water is over 3 m3 (8 h at 1 and 16 h at 4.1: 3.07); it is looked up each hour.
      `${10 * day_s + 16 * 3600 + 3600 + 120} Much water for dry weather. 3196 L in a day, usual is 1000 L. Look for a leak: read the water meter. Reply OK 1.`,
    ]);
  });

  it("is not told while rain explains it, nor while what the rain has left runs off", async () => {
    const rain = (day: number) => (day >= 10 && day < 12 ? 0.003 : 0);
    const runsOff = (day: number) => 1 + (day < 10 ? 0 : day < 12 ? 5 * (day - 10) : 10 * Math.exp(-(day - 12) / 4));
    expect(await heard(runsOff, rain)).toEqual([]);
  });
});

function run(stoppedAt_s: number, rest_s: number): Cycle {
  return { startedAt_s: stoppedAt_s - 20, stoppedAt_s, rest_s } as Cycle;
}
