import { describe, expect, it } from "vitest";
import { localTime } from "../../../daemon/recordings/local-time.ts";

// Toronto 2026: UTC−5 to 8 March 02:00, UTC−4 to 1 November 02:00 (IANA time zone database).
const toronto = localTime("America/Toronto");
const wall = (text: string) => Date.parse(`${text}Z`);

/** Resolves stamps one after the other and gives them as UTC. */
function follow(stamps: readonly string[]): string[] {
  let before_ms = Number.NaN;
  return stamps.map((stamp) => {
    before_ms = toronto?.resolve(wall(stamp), before_ms) ?? Number.NaN;
    return Number.isNaN(before_ms) ? "left out" : new Date(before_ms).toISOString().slice(5, 16);
  });
}

describe("localTime", () => {
  it("follows daylight saving through the year", () => {
    expect(follow(["2026-01-01T12:00", "2026-07-01T12:00", "2026-12-01T12:00"])).toEqual([
      "01-01T17:00",
      "07-01T16:00",
      "12-01T17:00",
    ]);
  });

  it("goes through the repeated hour of autumn in the order of the file", () => {
    const stamps = ["2026-11-01T00:30", "2026-11-01T01:15", "2026-11-01T01:45", "2026-11-01T01:15", "2026-11-01T01:45"];
    expect(follow([...stamps, "2026-11-01T02:15"])).toEqual([
      "11-01T04:30",
      "11-01T05:15",
      "11-01T05:45",
      "11-01T06:15",
      "11-01T06:45",
      "11-01T07:15",
    ]);
  });

  it("is not led astray in that hour by a row that comes a second late", () => {
    expect(follow(["2026-11-01T01:10:02", "2026-11-01T01:10:01", "2026-11-01T01:10:03"])).toEqual([
      "11-01T05:10",
      "11-01T05:10",
      "11-01T05:10",
    ]);
  });

  it("refuses the hour that spring leaves out", () => {
    expect(follow(["2026-03-08T01:59", "2026-03-08T02:30", "2026-03-08T03:00"])).toEqual([
      "03-08T06:59",
      "left out",
      "03-08T07:00",
    ]);
  });

  it("keeps the day before a change right after a stamp that reads as the change itself does in UTC", () => {
    // 8 March 07:00 and 1 November 06:00 UTC are the changes; the same figures on the wall come hours later.
    expect(follow(["2026-03-08T07:00", "2026-03-07T21:00"])).toEqual(["03-08T11:00", "03-08T02:00"]);
    expect(follow(["2026-11-01T06:00", "2026-10-31T21:00"])).toEqual(["11-01T11:00", "11-01T01:00"]);
  });

  it("takes a fixed offset as a zone, and nothing that is none", () => {
    expect(localTime("-05:00")?.resolve(wall("2026-07-01T12:00"), Number.NaN)).toBe(wall("2026-07-01T17:00"));
    expect(localTime("Europe/Atlantis")).toBeUndefined();
  });
});
