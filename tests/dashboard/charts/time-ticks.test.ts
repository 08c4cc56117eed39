import { describe, expect, it } from "vitest";
import { timeTicks } from "../../../dashboard/charts/time-ticks.ts";
import { siteTime } from "../../../dashboard/site-time.ts";

const utc = siteTime("UTC");
const midnight_s = Date.UTC(2026, 2, 4) / 1000;

describe("ticks of the time axis", () => {
  it("name the hour, and the day at midnight", () => {
    expect(timeTicks([midnight_s - 3600, midnight_s, midnight_s + 3600], 3600, utc)).toEqual([
      "23:00",
      "4 Mar",
      "01:00",
    ]);
  });

  it("name the second when close, the day when far", () => {
    expect(timeTicks([midnight_s + 5], 5, utc)).toEqual(["00:00:05"]);
    expect(timeTicks([midnight_s, midnight_s + 86_400], 86_400, utc)).toEqual(["4 Mar", "5 Mar"]);
  });
});
