// The page that explains the figures: a section for each that is shown, and every mark in it that of the code.

import { readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { alarmNames } from "../../../analysis/alarms/alarm.ts";
import { chatter, flood, marks } from "../../../analysis/alarms/performance.ts";
import { performanceLines } from "../../../dashboard/alarm-figures.ts";
import { plainMarkdown } from "../../../dashboard/plain-markdown.ts";

const page = readFileSync(join(import.meta.dirname, "../../../analysis/alarms/performance.md"), "utf8");
const sections = new Map(page.split(/^## /m).map((section) => [section.split("\n")[0] ?? "", section]));
const percent = (share: number) => `${Math.round(share * 100)} %`;

describe("the page on how the alarms do", () => {
  it("has a section for each figure that is shown, in the same order", () => {
    const performance = { ...{ count: 0, perDay: 0, per10min: 0, mostIn10min: 0, shareOver10: 0, shareInFlood: 0 } };
    const none = { mostFrequent: [], chattering: [], mostStale: 0, split: { high: 0, medium: 0, low: 0 } };
    const lines = performanceLines({ performance: { ...performance, ...none }, alarms: [] } as never);
    expect(plainMarkdown(page).map(({ heading }) => heading)).toEqual(lines.map(({ label }) => label));
  });

  it.each([
    ["Announced", [`${marks.perDay.acceptable} a day`, `${marks.perDay.most} the most`]],
    ["In ten minutes, on average", [`about ${marks.per10min.acceptable} is`, `about ${marks.per10min.most} the most`]],
    ["Most in ten minutes", [`at most ${marks.mostIn10min}.`]],
    ["Ten minutes with more than ten", [`more than ${marks.mostIn10min} came`, `under ${percent(marks.shareOver10)}`]],
    [
      "Time in a flood",
      [
        `more than ${flood.beginsOver} alarms`,
        `fewer than ${flood.endsUnder} in`,
        `under ${percent(marks.shareInFlood)}`,
      ],
    ],
    ["Most frequent", [`1 to ${percent(marks.tenMostFrequent)}`, "With nineteen alarms"]],
    ["Stale", [`fewer than ${marks.stale} on any day`]],
    [
      "High, medium, low",
      [`${percent(marks.split.high)} high`, `${percent(marks.split.medium)} medium`, `${percent(marks.split.low)} low`],
    ],
  ])("names the marks of the code: %s", (heading, said) => {
    for (const words of said) expect(sections.get(heading)).toContain(words);
  });

  it("counts alarms and chatter as the code does", () => {
    expect(alarmNames.length).toBe(19);
    expect([chatter.times, chatter.within_s]).toEqual([3, 60]);
  });
});
