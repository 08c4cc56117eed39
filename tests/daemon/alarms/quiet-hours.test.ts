// Daylight saving time as the zone's rules have it: Europe/Berlin, 29 March and 25 October 2026 (IANA time zone database).

import { describe, expect, it } from "vitest";
import { houseTime } from "../../../daemon/alarms/house-time.ts";
import { notInQuietHours } from "../../../daemon/alarms/quiet-hours.ts";
import { voiceOf } from "../../../daemon/alarms/words.ts";

const at = (time: string) => Date.parse(time) / 1000;
const berlin = houseTime("Europe/Berlin");
const until = (
  time: string,
  from_min: number,
  to_min: number,
  priority: "high" | "medium" = "medium",
  house = berlin,
) => new Date(notInQuietHours(at(time), { quiet: { from_min, to_min } }, priority, house) * 1000).toISOString();

describe("quiet hours", () => {
  it("hold back until their end, in the site's time, and never what is of high priority", () => {
    expect(until("2026-01-10T22:30:00Z", 22 * 60, 7 * 60)).toBe("2026-01-11T06:00:00.000Z");
    expect(until("2026-01-11T05:59:59Z", 22 * 60, 7 * 60)).toBe("2026-01-11T06:00:00.000Z");
    expect(until("2026-01-11T06:00:00Z", 22 * 60, 7 * 60)).toBe("2026-01-11T06:00:00.000Z");
    expect(until("2026-01-10T22:30:00Z", 22 * 60, 7 * 60, "high")).toBe("2026-01-10T22:30:00.000Z");
    expect(until("2026-01-10T12:30:00Z", 13 * 60, 15 * 60)).toBe("2026-01-10T14:00:00.000Z");
  });

  it("are those of the clock on the wall also where the daemon's is three hours late, and not for a minute", () => {
    const late = houseTime("Europe/Berlin", () => 3 * 3600);
    const night = [22 * 60, 7 * 60] as const;
    // By the daemon's clock; on the wall in Berlin four hours later.
    expect(until("2026-01-11T02:59:00Z", ...night, "medium", late)).toBe("2026-01-11T03:00:00.000Z");
    expect(until("2026-01-11T03:30:00Z", ...night, "medium", late)).toBe("2026-01-11T03:30:00.000Z");
    expect(until("2026-01-11T18:30:00Z", ...night, "medium", late)).toBe("2026-01-12T03:00:00.000Z");
    expect(
      until(
        "2026-01-11T05:59:30Z",
        ...night,
        "medium",
        houseTime("Europe/Berlin", () => 59),
      ),
    ).toBe("2026-01-11T06:00:00.000Z");
  });

  it("and times that an earlier run has noted are left as they are: its clock was right", () => {
    const start_s = Date.parse("2026-01-11T04:00:00Z") / 1000;
    const late = houseTime("Europe/Berlin", () => 3 * 3600, start_s);
    const { clock } = voiceOf({ name: "Hill House", displayUnits: "metric" }, late);
    expect([clock(start_s - 60), clock(start_s)]).toEqual(["11 Jan, 04:59", "11 Jan, 08:00"]);
  });

  it("end by the clock on the wall in the nights in which it is put on or back", () => {
    expect(until("2026-03-28T22:30:00Z", 22 * 60, 7 * 60)).toBe("2026-03-29T05:00:00.000Z");
    expect(until("2026-10-24T21:30:00Z", 22 * 60, 7 * 60)).toBe("2026-10-25T06:00:00.000Z");
  });

  it("end where the clock jumps when their end falls into the hour that is left out, and once in the one that comes twice", () => {
    expect(until("2026-03-29T00:30:00Z", 22 * 60, 150)).toBe("2026-03-29T01:30:00.000Z");
    expect(until("2026-10-25T00:10:00Z", 22 * 60, 150)).toBe("2026-10-25T00:30:00.000Z");
    expect(until("2026-10-25T01:10:00Z", 22 * 60, 150)).toBe("2026-10-25T01:30:00.000Z");
  });
});
