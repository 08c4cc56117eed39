// Worked by hand from the definitions of ANSI/ISA-18.2: a flood begins with more than ten in ten minutes and ends with
// fewer than five in ten; three within a minute chatter.

import { describe, expect, it } from "vitest";
import { type Announcement, alarmPerformance } from "../../../analysis/alarms/performance.ts";

const day = { from_s: 0, to_s: 86_400 };
const each = (times: readonly number[], alarm: Announcement["alarm"] = "high-water"): Announcement[] =>
  times.map((at_s) => ({ at_s, alarm, priority: "high", to_s: at_s + 300 }));

describe("the figures of alarm management", () => {
  it("of a quiet day are all nought", () => {
    expect(alarmPerformance([], day)).toMatchObject({
      count: 0,
      perDay: 0,
      mostIn10min: 0,
      shareInFlood: 0,
      chattering: [],
    });
  });

  it("count a flood from the eleventh in ten minutes until fewer than five are left", () => {
    // One each 30 s from 0 to 300: the eleventh at 300 begins it; the seventh leaves at 780 and the eighth would be the
    // fifth but last: at 180 + 600 = 780 four are left.
    const flood = each(Array.from({ length: 11 }, (_, i) => i * 30));
    const { shareInFlood, mostIn10min, shareOver10 } = alarmPerformance(flood, day);
    expect(mostIn10min).toBe(11);
    expect(shareInFlood * 86_400).toBeCloseTo(480, 6);
    expect(shareOver10).toBeCloseTo(1 / 144, 12);
  });

  it("name what chatters, the most frequent and the split of priorities", () => {
    const all = [
      ...each([1000, 1020, 1060]),
      ...each([5000, 5070, 5140], "supply-lost").map((one) => ({ ...one, priority: "medium" as const })),
      ...each([9000], "service-due").map((one) => ({ ...one, priority: "low" as const })),
    ];
    const figures = alarmPerformance(all, day);
    expect(figures.chattering).toEqual(["high-water"]);
    expect(figures.mostFrequent[0]).toEqual({ alarm: "high-water", count: 3, share: 3 / 7 });
    expect(figures.split.low).toBeCloseTo(1 / 7, 12);
  });

  it("count those that stood for more than a day, on the day with most of them", () => {
    const hour_s = 3600;
    const stood = (from_h: number, to_h: number | null): Announcement => ({
      ...{ at_s: from_h * hour_s, alarm: "supply-lost", priority: "medium" },
      to_s: to_h === null ? null : to_h * hour_s,
    });
    const week = { from_s: 0, to_s: 7 * 86_400 };
    // Stale from hour 24, 34 and 124 on; the second until hour 60, the first until 90: together on the second day.
    const all = [stood(0, 90), stood(10, 60), stood(50, 70), stood(100, null)];
    expect(alarmPerformance(all, week).mostStale).toBe(2);
    expect(alarmPerformance([stood(0, 24)], week).mostStale).toBe(0);
    expect(alarmPerformance([stood(0, null)], week)).toMatchObject({ mostStale: 1, per10min: 1 / 1008 });
  });
});
