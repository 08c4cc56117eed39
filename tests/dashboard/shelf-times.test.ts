import { describe, expect, it } from "vitest";
import { longestShelf_s } from "../../analysis/alarms/alarm-book.ts";
import { shelfTimes } from "../../dashboard/shelf-times.ts";

const words = (longest_s: number) => shelfTimes(longest_s).map((each) => each.words);

describe("the times for which an alarm may be shelved", () => {
  it("go from a quarter of an hour to the longest that its priority allows", () => {
    expect(words(longestShelf_s.high)).toEqual(["15 min", "1 h", "4 h", "8 h"]);
    expect(words(longestShelf_s.medium)).toEqual(["15 min", "1 h", "4 h", "8 h", "1 day", "3 days"]);
    expect(words(longestShelf_s.low).slice(-3)).toEqual(["3 days", "7 days", "30 days"]);
  });

  it("end with the longest, whatever that is", () => {
    expect(words(7200)).toEqual(["15 min", "1 h", "2 h"]);
    expect(words(600)).toEqual(["10 min"]);
  });
});
