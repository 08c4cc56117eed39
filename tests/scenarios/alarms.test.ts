// The simulator's basins (tests/truth), healthy and sick, through the analysis and the alarms, by the water's own clock:
// who is told what, and when. Delays are those of the table, and at the end those of the findings before them (half a minute
// for water and supply, a minute for a start that failed, half an hour for a sensor): what is high goes at once, what is
// medium gathers for twenty seconds, what is low for two minutes.

import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { gsmLength } from "../../daemon/alarms/gsm-alphabet.ts";
import { epoch_s } from "../truth/play.ts";
import { type Told, toldOf, toldOverTime } from "./told-over-time.ts";
import { wetYear } from "./wet-year.ts";

let folder: string;
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), "told-"));
});
afterAll(() => rmSync(folder, { recursive: true }));

let files = 0;
const path = () => join(folder, `${++files}.sqlite`);
const told = (name: string, seed = 1, days?: number) => toldOverTime(name, seed, path(), days);
const subjects = ({ messages }: Told) => messages.map(({ subject }) => subject.replace("Hill House: ", ""));

/** When the first finding of the kind began or ended, in seconds from the beginning of all. */
function instant({ findings }: Told, kind: string, what: "from_s" | "to_s" = "from_s"): number {
  return (findings.find((finding) => finding.kind === kind)?.[what] ?? Number.NaN) - epoch_s;
}

/** What was said, each with the time in seconds from where a finding began or ended. */
function timed(all: Told, ...since: readonly (readonly [kind: string, what: "from_s" | "to_s"])[]): string[] {
  return all.messages.map(({ at_s, subject }, i) => {
    const [kind = "", what] = since[i] ?? [];
    return `${Number((at_s - instant(all, kind, what)).toFixed(3))} ${subject.replace("Hill House: ", "")}`;
  });
}

describe("people", { timeout: 300_000 }, () => {
  it.each([
    ["an ordinary house"],
    ["small storms"],
    ["household water twice a day, every half minute"],
    ["recession after a wet week"],
    ["silences of up to an hour, 2 % of rows lost"],
  ])("are left alone while all is well: %s", async (name) => {
    expect((await told(name, 2, 7)).messages).toEqual([]);
  });

  it.each([1, 2])("are left alone in wet weeks, storm after storm, house %i", async (seed) => {
    // Whole years: `node tests/scenarios/wet-years.ts`.
    const { messages } = await toldOf({ ...wetYear(seed, 21), words: ["wet weeks", seed] }, path());
    expect(messages).toEqual([]);
  });

  it("are told that the supply is lost, and that it is back", async () => {
    const cut = await told("power cut of minutes");
    // Two minutes and twenty seconds; half a minute until the finding is closed, then one minute and twenty seconds.
    expect(timed(cut, ["power-lost", "from_s"], ["power-lost", "to_s"])).toEqual([
      "140 SUPPLY LOST",
      "110 Supply is back",
    ]);
  });

  it("are left alone in a power cut of half a minute", async () => {
    const cut = await told("power cut of half a minute");
    expect(cut.findings.map(({ kind }) => kind)).toEqual(["power-lost"]);
    expect(cut.messages).toEqual([]);
  });

  it("are told of a power cut, of the water that rises in it, and of the end, to the second", async () => {
    const night = await told("power cut in a wet night");
    expect(subjects(night)).toEqual([
      "SUPPLY LOST",
      "HIGH WATER",
      "HIGH WATER, WORSE",
      "HIGH WATER, WORSE",
      "Supply is back",
      "over: High water",
    ]);
    const at = night.messages.map(({ at_s }) => at_s);
    expect(at[0]).toBeCloseTo(instant(night, "power-lost") + 140, 3);
    expect(at[1]).toBeCloseTo(instant(night, "high-water") + 60, 3);
    expect(at[4]).toBeCloseTo(instant(night, "power-lost", "to_s") + 110, 3);
    expect(at[5]).toBeCloseTo(instant(night, "high-water", "to_s") + 330, 3);
    for (const { text } of night.messages) expect(gsmLength(text)).toBeLessThanOrEqual(160);
    // Supply lost, high water, worse: each foretells the same moment.
    const floor_s = night.messages.slice(0, 3).map(({ at_s, text }) => {
      const [, minutes] = /Floor in about ([\d.]+) min/.exec(text) ?? [];
      return at_s + 60 * Number(minutes);
    });
    for (const foretold_s of floor_s) expect(Math.abs(foretold_s - (floor_s[2] ?? 0))).toBeLessThan(60);
    expect(night.messages[3]?.text).toContain("Reaches the floor within a minute. Pump stands still, no supply.");
  });

  it.each(["float stuck down", "motor tripped"])(
    "are told before the water is high that the pump does not start: %s",
    async (name) => {
      const stuck = await told(name);
      expect(subjects(stuck)).toEqual([
        "PUMP DOES NOT START",
        "HIGH WATER",
        "HIGH WATER, WORSE",
        "HIGH WATER, WORSE",
        "over: Pump does not start",
        "over: High water",
      ]);
      expect(stuck.messages[0]?.at_s).toBeCloseTo(instant(stuck, "float-stuck-off") + 60, 3);
      expect(stuck.messages[1]?.at_s).toBeCloseTo(instant(stuck, "high-water") + 60, 3);
      expect(stuck.messages[4]?.at_s).toBeCloseTo(instant(stuck, "float-stuck-off", "to_s") + 120, 3);
    },
  );

  it("are told that the pump does not stop, and that it has stopped", async () => {
    const stuck = await told("float stuck up");
    expect(timed(stuck, ["float-stuck-on", "from_s"], ["float-stuck-on", "to_s"])).toEqual([
      "140 PUMP DOES NOT STOP",
      "170 over: Pump does not stop",
    ]);
  });

  it("are told that the pump no longer keeps up, then of high water, which speaks for it", async () => {
    const storm = await told("a storm passes the pump by a tenth");
    expect(subjects(storm)).toEqual([
      "Pump starts too often",
      "Little margin in the pump",
      "PUMP DOES NOT KEEP UP",
      "HIGH WATER",
      "HIGH WATER, WORSE",
      "HIGH WATER, WORSE",
      "over: High water",
    ]);
    const at = storm.messages.map(({ at_s }) => at_s);
    expect(at[0]).toBeCloseTo(instant(storm, "short-cycling") + 720, 3);
    expect(at[1]).toBeCloseTo(instant(storm, "undersized") + 720, 3);
    expect(at[2]).toBeCloseTo(instant(storm, "inflow-exceeds-pump") + 120, 3);
    expect(at[3]).toBeCloseTo(instant(storm, "high-water") + 60, 3);
    expect(at[6]).toBeCloseTo(instant(storm, "high-water", "to_s") + 330, 3);
  });

  it("are told of high water alone when it comes at once, before the pump is known not to keep up", async () => {
    const burst = await told("much more flows in than the pump moves");
    expect(subjects(burst)).toEqual([
      "HIGH WATER",
      "HIGH WATER, WORSE",
      "HIGH WATER, WORSE",
      "over: High water",
      "Little margin in the pump",
    ]);
  });

  it("are told that the level is lost, and that it is back", async () => {
    const lost = await told("level drops out for most of an hour");
    expect(timed(lost, ["sensor-fault", "from_s"], ["sensor-fault", "to_s"])).toEqual([
      "620 SENSOR LOST",
      "4220 Sensor is back",
    ]);
  });

  it.each([
    ["discharge blocked by half, every 5 s", "discharge-blocked", "320 Discharge obstructed"],
    ["valve leaks, every 5 s, noise of 3 mm", "check-valve-leak", "720 Water runs back"],
    ["float chatters in waves", "short-cycling", "720 Pump starts too often"],
    ["pump worn over ten days, every 5 s, steps of 1 mm", "pump-worn", "720 Pump moves less than it did"],
  ])("are told once of what is no emergency: %s", async (name, kind, message) => {
    expect(timed(await told(name), [kind, "from_s"])).toEqual([message]);
  });
});
