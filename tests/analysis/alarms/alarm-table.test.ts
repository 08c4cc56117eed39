// What people are told to do must not leave them worse off: common practice, no source.

import { describe, expect, it } from "vitest";
import { alarmTable } from "../../../analysis/alarms/alarm-table.ts";

describe("what an alarm says to do", () => {
  it.each(
    alarmTable.filter(({ whatToDo }) => /\bunplug/i.test(whatToDo)).map(({ name, whatToDo }) => [name, whatToDo]),
  )("leaves no pump unplugged: %s", (_, whatToDo) => {
    expect(whatToDo).toMatch(/\bunplug.*\bplug (it|both) in again/i);
  });

  it("sends nobody to the water but from a dry place", () => {
    for (const { name, firstThing } of alarmTable.filter((each) => /\b(measure|float|plug)\b/i.test(each.firstThing)))
      expect(firstThing, name).toContain("from a dry place");
  });
});
