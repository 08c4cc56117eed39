// The simulator's basins (tests/truth), healthy and sick, through the analysis and the alarms, by the water's own clock:
// who is told what, and when. Delays are those of the table.

import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { gsmLength } from "../../daemon/alarms/gsm-alphabet.ts";
import { epoch_s } from "../truth/play.ts";
import { type Told, toldOverTime } from "./told-over-time.ts";

let folder: string;
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), "told-"));
});
afterAll(() => rmSync(folder, { recursive: true }));

let files = 0;
const told = (name: string, seed = 1, days?: number) =>
  toldOverTime(name, seed, join(folder, `${++files}.sqlite`), days);
const subjects = ({ messages }: Told) => messages.map(({ subject }) => subject.replace("Hill House: ", ""));
const began = ({ findings }: Told, kind: string) =>
  (findings.find((finding) => finding.kind === kind)?.from_s ?? 0) - epoch_s;

describe("people", () => {
  it.each([
    ["an ordinary house"],
    ["small storms"],
    ["household water twice a day, every half minute"],
    ["recession after a wet week"],
    ["silences of up to an hour, 2 % of rows lost"],
  ])("are left alone while all is well: %s", async (name) => {
    expect((await told(name, 2, 7)).messages).toEqual([]);
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
    // Two minutes, and twenty seconds in which others may gather; a minute, and at once.
    expect(at[0]).toBeCloseTo(began(night, "power-lost") + 140, 3);
    expect(at[1]).toBeCloseTo(began(night, "high-water") + 60, 3);
    for (const { text } of night.messages) expect(gsmLength(text)).toBeLessThanOrEqual(160);
  });

  it("are told of a pump that does not start, before the water is high", async () => {
    const stuck = await told("float stuck down");
    expect(subjects(stuck).slice(0, 2)).toEqual(["PUMP DOES NOT START", "HIGH WATER"]);
    expect(stuck.messages[0]?.at_s).toBeCloseTo(began(stuck, "float-stuck-off") + 60, 3);
  });

  it("are told once of a pump that does not stop, of a sensor that is lost, of a pump that moves less", {
    timeout: 90_000,
  }, async () => {
    expect(subjects(await told("float stuck up"))).toEqual(["PUMP DOES NOT STOP", "over: Pump does not stop"]);
    expect(subjects(await told("level drops out for most of an hour"))).toEqual(["SENSOR LOST", "Sensor is back"]);
    expect(subjects(await told("pump worn over ten days, every 5 s, steps of 1 mm"))).toEqual([
      "Pump moves less than it did",
    ]);
  });
});
