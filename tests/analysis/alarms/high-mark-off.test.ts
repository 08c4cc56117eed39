// A level sensor that drifts where nothing but the level tells of high water.

import { describe, expect, it } from "vitest";
import { createAlarmBook } from "../../../analysis/alarms/alarm-book.ts";
import { alarmTable } from "../../../analysis/alarms/alarm-table.ts";
import { highMarkOff_m, highMarkOffSince_s } from "../../../analysis/alarms/high-mark-off.ts";
import type { Situation } from "../../../analysis/analyzer.ts";
import type { Evidence } from "../../../analysis/findings/finding.ts";
import { finding, input } from "./alarm-input.ts";

/** The start level is 0.3 m, high water 0.45 m, the floor 0.6 m: 75 mm is half of either way. */
function at(time_s: number, evidence: Evidence, situation: Partial<Situation> = {}) {
  const drift = { ...finding("sensor-fault", 0), evidence: { channel: "level", ...evidence } };
  return input(time_s, [drift, ...(situation.openFindings ?? [])], situation);
}
const low = (shift_m: number, problem = "zero-drift") => ({ problem, shift_m, span_share: 0 });

describe("a high mark that reads off", () => {
  it("is one once half the way is gone, up or down, and since then", () => {
    expect(highMarkOffSince_s(at(50, low(-0.074)), null)).toBe(null);
    expect(highMarkOffSince_s(at(50, low(-0.076)), null)).toBe(50);
    expect(highMarkOffSince_s(at(90, low(0.076)), 50)).toBe(50);
    expect(highMarkOffSince_s(at(50, low(-0.076, "re-zeroed")), null)).toBe(50);
  });

  it("is none where a sound high float warns, and is one where that hangs", () => {
    const hangs = { ...finding("sensor-fault", 0), evidence: { channel: "high_float", problem: "stuck-off" } };
    expect(highMarkOffSince_s(at(50, low(-0.1), { highFloat: false }), null)).toBe(null);
    // The finding of the drift stands beside that of the float.
    const both = at(50, low(-0.1));
    const openFindings = [...both.situation.openFindings, hangs];
    expect(
      highMarkOffSince_s({ ...both, situation: { ...both.situation, highFloat: false, openFindings } }, null),
    ).toBe(50);
  });

  it("lies higher than the trips, so that a span that goes off does so more there", () => {
    // Stop level 0.1 m: 10 % of the 0.35 m up to the mark, beside what the trips share.
    expect(highMarkOff_m(at(0, { problem: "span-drift", shift_m: -0.01, span_share: -0.1 }))).toBeCloseTo(-0.045, 9);
  });

  it("is none where no high mark is given, nor of a sensor that is lost", () => {
    const off = at(50, low(-0.1));
    const site = { ...off.site, basin: { ...off.site.basin, highLevel_m: null } };
    expect(highMarkOffSince_s({ ...off, site }, null)).toBe(null);
    expect(highMarkOffSince_s(at(50, { problem: "frozen" }), null)).toBe(null);
  });

  it("is told as medium, and speaks for the sensor that reads off", () => {
    const book = createAlarmBook(alarmTable);
    const told = (time_s: number, shift_m: number) =>
      book.update(at(time_s, low(shift_m))).map(({ kind, alarm }) => `${alarm.name} ${kind}`);
    told(0, -0.02);
    expect(told(600, -0.02)).toEqual(["sensor-reads-off raised"]);
    expect(told(1000, -0.08)).toEqual(["sensor-reads-off suppressed"]);
    expect(told(1600, -0.08)).toEqual(["high-mark-off raised"]);
    expect(book.alarm("high-mark-off").facts).toMatchObject({ problem: "zero-drift", high_mark_off_m: -0.08 });
    expect(alarmTable.find(({ name }) => name === "high-mark-off")?.priority).toBe("medium");
  });
});
