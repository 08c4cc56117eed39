// A contact that stands still, read every ten seconds and more seldom: by how many runs it is known to be dead, and how long
// it is left alone.

import { describe, expect, it } from "vitest";
import { createAnalyzer } from "../../analysis/analyzer.ts";
import type { AnalyzerState } from "../../analysis/analyzer-state.ts";
import type { Reading } from "../../analysis/readings/reading.ts";
import { seededRandom } from "../../daemon/sources/simulated/random.ts";
import { analyse } from "./analyse.ts";
import { area_m2, reading, smallSite, startTime_s } from "./small-basin.ts";

const day_s = 86_400;

/** Two days, 2 L/min, by a pump that takes `run_s` for the water between its floats; `says` is told by the contact from a day on. */
function readings(run_s: number, says: boolean | null, every_s = 10, dead_s = day_s, inflow_lpm = 2): Reading[] {
  const random = seededRandom(7);
  const found: Reading[] = [];
  let [level_m, pumpOn, next_s] = [0.1, false, 0];
  for (let time_s = 0; time_s < 2 * day_s; time_s += 0.5) {
    level_m += 0.5 * (inflow_lpm / 60_000 / area_m2 - (pumpOn ? 0.2 / run_s : 0));
    if (level_m >= 0.3) pumpOn = true;
    if (level_m <= 0.1) pumpOn = false;
    if (time_s < next_s) continue;
    // Late by up to half a second: readings keep no step with the runs.
    next_s += every_s + 0.5 * random.uniform();
    const contact = says !== null && time_s > dead_s ? says : pumpOn;
    found.push(reading(startTime_s + time_s, { level_m: level_m + random.normal(0.001), pumpOn: contact }));
  }
  return found;
}

const faults = (run_s: number, says: boolean | null, every_s?: number, dead_s?: number) =>
  analyse(smallSite, readings(run_s, says, every_s, dead_s)).summary.findings.filter(
    ({ kind }) => kind === "sensor-fault",
  );

describe("a contact that is read every ten seconds", () => {
  it.each([true, false])("is told within the hour to be dead, saying %s", (says) => {
    const [fault, ...more] = faults(20, says);
    expect(fault?.evidence).toMatchObject({ channel: "pump_on", problem: "frozen" });
    const after_s = Date.parse(fault?.from ?? "") / 1000 - startTime_s - day_s;
    expect(after_s).toBeGreaterThan(0);
    expect(after_s).toBeLessThan(3600);
    expect(more).toEqual([]);
  });

  it("is not called dead for the runs that it misses, where they are briefer", () => {
    expect(faults(8, null)).toEqual([]);
  });
});

describe("a contact that dies while so much comes in that the water is back up soon after each run", () => {
  it.each([5, 10])(
    "is told within half an hour, read every %s s, and the level counts the runs from then on, and those since it died",
    (every_s) => {
      const quick = (says: boolean | null) =>
        readings(20, says, every_s, day_s / 8, 24).filter(({ time_s }) => time_s < startTime_s + day_s / 4);
      const { findings, totals } = analyse(smallSite, quick(false)).summary;
      const [fault] = findings.filter(({ kind }) => kind === "sensor-fault");
      expect(fault?.evidence).toMatchObject({ channel: "pump_on", problem: "frozen" });
      expect(Date.parse(fault?.from ?? "") / 1000).toBeLessThan(startTime_s + day_s / 8 + 1800);
      expect(totals.starts).toBeGreaterThan(0.96 * analyse(smallSite, quick(null)).summary.totals.starts);
      expect(totals.unwatched_runs).toBeUndefined();
    },
  );
});

describe("a contact that is read so seldom that it misses runs", () => {
  it.each([
    [15, true],
    [15, false],
    [30, true],
    [30, false],
  ])("is told once, read every %i s, to be dead, saying %s", (every_s, says) => {
    const [fault, ...more] = faults(18, says, every_s);
    expect(fault?.evidence).toMatchObject({ channel: "pump_on", problem: "frozen" });
    expect(Date.parse(fault?.from ?? "") / 1000).toBeGreaterThan(startTime_s + day_s);
    expect(more).toEqual([]);
  });

  it("is told to be dead that was never heard", () => {
    expect(faults(18, false, 15, 0)).toMatchObject([{ evidence: { channel: "pump_on" }, to: null }]);
  });

  it.each([15, 30, 60])("is not called dead, read every %i s, for the runs that it misses", (every_s) => {
    expect(faults(8, null, every_s)).toEqual([]);
  });
});

describe("contacts of two pumps that take turns, whose runs have become as brief again as before a storm of hours", () => {
  /** Runs of 6 s, and for two hours two that take as long as the storm; the contacts are read every 10 s, and miss many. */
  function afterStorm(): Reading[] {
    const random = seededRandom(89);
    const found: Reading[] = [];
    let [level_m, running, next] = [0.2, 0, 1];
    const pumped_ms = 0.2 / 6 + 0.2 / 90;
    for (let time_s = 0; time_s < 4.5 * 3600; time_s += 0.25) {
      const storm = time_s > 7200 && time_s < 14_400;
      const comesIn_ms = storm ? 0.995 * pumped_ms : (0.2 / 90) * (1 + 0.3 * Math.sin(time_s / 700));
      level_m += 0.25 * (comesIn_ms - (running > 0 ? pumped_ms : 0));
      if (level_m >= 0.3 && running === 0) {
        running = next;
        next = 3 - next;
      }
      if (level_m <= 0.1) running = 0;
      if (time_s % 10 === 0)
        found.push(
          reading(startTime_s + time_s, {
            level_m: level_m + random.normal(0.0015),
            pumpOn: running === 1,
            pump2On: running === 2,
          }),
        );
    }
    return found;
  }

  it("are not called dead for the runs that they miss", () => {
    const pump = { curve: null, maxStartsPerHour: 20, minRun_s: 8 };
    const { findings } = analyse({ ...smallSite, pumps: [pump, pump] }, afterStorm()).summary;
    expect(findings.filter(({ kind }) => kind === "sensor-fault")).toEqual([]);
  });
});

describe("a contact that was dead for hours and follows again", () => {
  it.each([true, false])("leaves the time that the pump ran in all, told by it or by the level (%s)", (says) => {
    const sound = readings(20, null);
    const isDead = (time_s: number) => time_s > startTime_s + day_s / 2 && time_s < startTime_s + day_s;
    const found = sound.map((one) => (isDead(one.time_s) ? { ...one, pumpOn: says } : one));
    const { totals, findings } = analyse(smallSite, found).summary;
    expect(findings.map(({ kind, to }) => [kind, to === null])).toEqual([["sensor-fault", false]]);
    const ran_s = analyse(smallSite, sound).summary.totals.run_s ?? Number.NaN;
    expect(Math.abs((totals.run_s ?? 0) / ran_s - 1)).toBeLessThan(0.05);
  });
});

describe("a contact that says 'runs' while a storm about what the pump moves takes the level up and down", () => {
  /** From 18 L/min to about the pump's 660 within 4 h, and back; through the storm it comes and goes by a tenth in 15 min. */
  function stormReadings(every_s: number): Reading[] {
    const random = seededRandom(5);
    const found: Reading[] = [];
    let [level_m, pumpOn, next_s] = [0.1, false, 0];
    for (let time_s = 0; time_s < 11 * 3600; time_s += 1) {
      const storm = Math.min(1, 1.5 * Math.max(0, Math.sin(time_s / 13_000)) ** 4);
      level_m += 0.0003 + 0.011 * storm * (1 + 0.1 * Math.sin((2 * Math.PI * time_s) / 900)) - (pumpOn ? 0.011 : 0);
      level_m = Math.min(0.6, level_m);
      if (level_m >= 0.3) pumpOn = true;
      if (level_m <= 0.1) pumpOn = false;
      if (time_s < next_s) continue;
      next_s += every_s + random.uniform();
      found.push(reading(startTime_s + time_s, { level_m: level_m + random.normal(0.001), pumpOn }));
    }
    return found;
  }

  it.each([5, 30])("is not called dead, read every %i s, and all that the pump ran is told", (every_s) => {
    const found = stormReadings(every_s);
    const ran_s = found.reduce(
      (sum, { time_s, pumpOn }, i) => sum + (pumpOn === true ? (found[i + 1]?.time_s ?? time_s) - time_s : 0),
      0,
    );
    const { findings, totals } = analyse(smallSite, found).summary;
    expect(findings.filter(({ kind }) => kind === "sensor-fault")).toEqual([]);
    expect(Math.abs((totals.run_s ?? 0) / ran_s - 1)).toBeLessThan(0.02);
  });
});

describe("the contact of the second of two pumps", () => {
  /** The pumps take turns, or the second stands by and never runs; its contact says what is told from half a day on. */
  function ofTwo(every_s: number, says: boolean | null, takesTurns = true) {
    let turn = 1;
    let ran = false;
    return readings(18, null, every_s).map((one) => {
      if (one.pumpOn === false && ran && takesTurns) turn = 3 - turn;
      ran = one.pumpOn === true;
      const second = says !== null && one.time_s > startTime_s + day_s / 2 ? says : ran && turn === 2;
      return { ...one, pumpOn: ran && turn === 1, pump2On: second };
    });
  }

  const faultsOfTwo = (every_s: number, says: boolean | null, takesTurns?: boolean) =>
    analyse(smallSite, ofTwo(every_s, says, takesTurns)).summary.findings.filter(({ kind }) => kind === "sensor-fault");

  it("tells of its runs: none of them is one that the level alone has shown", () => {
    const analyzer = createAnalyzer(smallSite);
    let unseen = 0;
    for (const one of ofTwo(1, null).slice(0, 7200)) {
      analyzer.push(one);
      unseen = Math.max(unseen, (analyzer.snapshot() as AnalyzerState).tracker.unseenRuns ?? 0);
    }
    expect(unseen).toBe(0);
  });

  it.each([
    [5, true],
    [5, false],
    [15, true],
    [15, false],
  ])("is told once, read every %i s, to be dead, saying %s, while the first goes on", (every_s, says) => {
    const [fault, ...more] = faultsOfTwo(every_s, says);
    expect(fault?.evidence).toMatchObject({ channel: "pump2_on", problem: "frozen" });
    expect(Date.parse(fault?.from ?? "") / 1000).toBeGreaterThan(startTime_s + day_s / 2);
    expect(more).toEqual([]);
  });

  it.each([
    [5, true],
    [15, true],
    [15, false],
  ])("is not called dead, read every %i s, of a pump that takes turns (%s) or stands by", (every_s, takesTurns) => {
    expect(faultsOfTwo(every_s, null, takesTurns)).toEqual([]);
  });
});

describe("a contact that is dead since the level's sensor was set anew", () => {
  it.each([1, 5])("is told though every run then begins 25 mm over where it used to, read every %s s", (every_s) => {
    const higher = readings(20, false, every_s).map((one) => ({
      ...one,
      level_m: (one.level_m ?? 0) + (one.time_s > startTime_s + day_s ? 0.025 : 0),
    }));
    const { findings, totals } = analyse(smallSite, higher).summary;
    expect(findings.map(({ kind, evidence }) => [kind, evidence.channel])).toContainEqual(["sensor-fault", "pump_on"]);
    expect(totals.starts).toBeGreaterThan(270);
  });
});
