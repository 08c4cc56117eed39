import { fileURLToPath } from "node:url";
import { describe, expect, it } from "vitest";
import { dutyPoint } from "../../../../analysis/hydraulics/duty-point.ts";
import { pumpCurve } from "../../../../analysis/hydraulics/pump-curve.ts";
import type { Site } from "../../../../analysis/site.ts";
import { loadSiteFile } from "../../../../daemon/config/load-site-file.ts";
import type { TrueCycle } from "../../../../daemon/sources/simulated/basin-model.ts";
import type { HouseOptions } from "../../../../daemon/sources/simulated/house.ts";
import { simulatedHouse } from "../../../../daemon/sources/simulated/house.ts";
import type { SourceReading } from "../../../../daemon/sources/source.ts";
import { demoSite } from "./demo-site.ts";

/** Monday, 2 March 2026, 15:00 in Toronto: nine hours before the second day. */
const startTime_s = Date.parse("2026-03-02T15:00:00-05:00") / 1000;
const options: HouseOptions = { site: demoSite, scenario: "wet-week", seed: 1, startTime_s, samplePeriod_s: 1 };

function play(change: Partial<HouseOptions>, hours: number) {
  const cycles: TrueCycle[] = [];
  const house = simulatedHouse({ ...options, onCycle: (cycle) => cycles.push(cycle), ...change });
  const readings: SourceReading[] = [];
  while (house.nextTime_s() < startTime_s + hours * 3600) readings.push(house.next());
  return { readings, cycles, state: house.state };
}

describe("simulatedHouse", () => {
  it("moves what the site's pump moves against the site's discharge", () => {
    const curve = pumpCurve(demoSite.pump?.curve ?? []);
    const { readings, cycles } = play({ scenario: "dry-week" }, 3);
    expect(readings.length).toBe(3 * 3600);
    for (const cycle of cycles) {
      // from 14 in down to 6 in, the pump works at 10 in on average
      const duty = demoSite.discharge === null ? null : dutyPoint(curve, demoSite.discharge, 0.254);
      expect((cycle.pumpRate_m3s ?? 0) / (duty?.flow_m3s ?? 0)).toBeCloseTo(1, 2.3);
    }
  });

  it("shows a first run within a minute and a whole cycle within ten, so that a minute a second shows it in ten", () => {
    for (const seed of [1, 2, 3, 4]) {
      const { cycles } = play({ seed }, 1);
      expect((cycles[0]?.startedAt_s ?? Infinity) - startTime_s).toBeLessThan(75);
      expect((cycles[1]?.stoppedAt_s ?? Infinity) - startTime_s).toBeLessThan(540);
    }
  });

  it("has a storm on the second evening that the pump barely holds: high water, and none on the floor", () => {
    for (const seed of [1, 2]) {
      const { readings, state } = play({ seed, samplePeriod_s: 10 }, 33);
      const high_min = readings.filter((reading) => reading.highFloat === true).length / 6;
      expect(high_min, `seed ${seed}`).toBeGreaterThan(5);
      expect(high_min, `seed ${seed}`).toBeLessThan(40);
      expect(state.spilled_m3).toBe(0);
      const first_h = ((readings.find((reading) => reading.highFloat === true)?.time_s ?? 0) - startTime_s) / 3600 + 15;
      expect(first_h).toBeGreaterThan(24 + 18);
      expect(first_h).toBeLessThan(24 + 24);
    }
  });

  it("otherwise pumps every three to ten minutes", () => {
    const { cycles } = play({}, 20);
    for (const cycle of cycles.slice(1)) {
      const cycle_s = (cycle.rest_s ?? 0) + cycle.stoppedAt_s - cycle.startedAt_s;
      expect(cycle_s).toBeGreaterThan(180);
      expect(cycle_s).toBeLessThan(600);
    }
  });

  it("rains in tips of the gauge, and as much in the end as the weather says", () => {
    const rains_m = play({ samplePeriod_s: 60 }, 36).readings.map((reading) => reading.rain_m ?? 0);
    for (const rain_m of rains_m) expect(rain_m / 2e-4).toBeCloseTo(Math.round(rain_m / 2e-4), 9);
    const total_mm = 1000 * rains_m.reduce((sum, rain_m) => sum + rain_m, 0);
    expect(total_mm).toBeGreaterThan(0.85 * 50); // storm and night rain, part of the drizzle
    expect(total_mm).toBeLessThan(1.15 * 60);
  });

  it("goes on after the week with other weather, and no step back in time", () => {
    const { readings } = play({ samplePeriod_s: 60, scenario: "worn-pump" }, 24 * 8);
    const firstDay = (week: number) =>
      readings.slice(week * 10_080, week * 10_080 + 1440).map((reading) => reading.rain_m);
    expect(firstDay(1)).not.toEqual(firstDay(0));
    expect(firstDay(1).some((rain_m) => (rain_m ?? 0) > 0)).toBe(true);
    expect(readings.every((reading, i) => i === 0 || reading.time_s > (readings[i - 1]?.time_s ?? 0))).toBe(true);
  });

  it("plays the same for the same seed", () => {
    expect(play({}, 1).readings).toEqual(play({}, 1).readings);
    expect(play({ seed: 2 }, 1).readings).not.toEqual(play({}, 1).readings);
  });

  it("names what the site file lacks", () => {
    const bare: Site = { ...demoSite, pump: null, discharge: null, basin: { ...demoSite.basin, startLevel_m: null } };
    expect(() => simulatedHouse({ ...options, site: bare })).toThrow(
      "simulated: the site file lacks basin.start_level, pump.curve, discharge; a simulated house needs them",
    );
  });

  it("says so when the pump cannot lift the water so high", () => {
    const discharge = demoSite.discharge === null ? null : { ...demoSite.discharge, highPoint_m: 12 };
    expect(() => simulatedHouse({ ...options, site: { ...demoSite, discharge } })).toThrow(
      /simulated: the pump's shut-off head, .* is no more than the static head, .*discharge\.high_point/,
    );
  });
});

describe("demo-house.yaml", () => {
  it("is a sound site file, and the house that these tests play", async () => {
    const path = fileURLToPath(new URL("../../../../daemon/sources/simulated/demo-house.yaml", import.meta.url));
    const loaded = await loadSiteFile(path);
    if (!loaded.ok) throw new Error(JSON.stringify(loaded.problems));
    expect(loaded.siteFile.site.basin.startLevel_m).toBeCloseTo(demoSite.basin.startLevel_m ?? 0, 9);
    expect(loaded.siteFile.site.name).toBe(demoSite.name);
    expect(loaded.siteFile.sources.map((source) => source.kind)).toEqual(["simulated"]);
    expect(() => simulatedHouse({ ...options, site: loaded.siteFile.site })).not.toThrow();
  });
});
