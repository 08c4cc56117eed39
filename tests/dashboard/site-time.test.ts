import { describe, expect, it } from "vitest";
import { siteTime } from "../../dashboard/site-time.ts";

// 2026-03-04 11:10:22 UTC is 06:10:22 in Toronto (UTC−5 until 8 March 2026).
const instant_s = Date.UTC(2026, 2, 4, 11, 10, 22) / 1000;

describe("time as the site's clock shows it", () => {
  const toronto = siteTime("America/Toronto");

  it("is in the site's zone, with 24 hours", () => {
    expect(toronto.clock(instant_s)).toBe("06:10:22");
    expect(toronto.dayAndClock(instant_s)).toBe("Wed 4 Mar, 06:10");
    expect(toronto.stamp(instant_s + 12 * 3600)).toBe("4 Mar 18:10:22");
  });

  it("calls midnight 00:00", () => {
    expect(toronto.clockToMinute(Date.UTC(2026, 2, 4, 5) / 1000)).toBe("00:00");
  });

  it("says the day of a span twice only when it differs", () => {
    expect(toronto.span(instant_s, instant_s + 6 * 3600)).toBe("Wed 4 Mar, 06:10 – 12:10");
    expect(toronto.span(instant_s, instant_s + 24 * 3600)).toBe("Wed 4 Mar, 06:10 – Thu 5 Mar, 06:10");
  });

  it("shows seconds in a short span", () => {
    expect(toronto.span(instant_s, instant_s + 60)).toBe("Wed 4 Mar, 06:10:22 – 06:11:22");
  });

  it("skips the hour that summer time skips", () => {
    // 2026-03-08 07:00 UTC is 03:00 in Toronto: 02:00 to 03:00 is not there.
    expect(toronto.clockToMinute(Date.UTC(2026, 2, 8, 6, 59) / 1000)).toBe("01:59");
    expect(toronto.clockToMinute(Date.UTC(2026, 2, 8, 7, 0) / 1000)).toBe("03:00");
  });

  it("falls back to UTC, and says so, for a zone that the browser does not know", () => {
    expect(siteTime("Nowhere/Here").clockToMinute(instant_s)).toBe("11:10 UTC");
  });
});
