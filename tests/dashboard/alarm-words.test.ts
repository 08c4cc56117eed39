import { describe, expect, it } from "vitest";
import type { ActiveAlarm } from "../../daemon/server/alarms-types.ts";
import { alarmsSentence, answeredWord } from "../../dashboard/alarm-words.ts";

const alarm: ActiveAlarm = {
  ...{ name: "high-water", title: "HIGH WATER", priority: "high", whatToDo: "Check the pump." },
  ...{ state: "unacknowledged", from_s: 100, to_s: null, acknowledgedBy: null },
};
const seenTo: ActiveAlarm = { ...alarm, name: "supply-lost", state: "acknowledged", acknowledgedBy: "Ann" };
const over: ActiveAlarm = { ...alarm, state: "returned-to-normal-unacknowledged", to_s: 300 };

describe("the words for alarms", () => {
  it("say first how many wait for an answer", () => {
    expect(alarmsSentence([])).toBe("No alarm lasts.");
    expect(alarmsSentence([alarm])).toBe("1 alarm waits for an answer.");
    expect(alarmsSentence([alarm, seenTo, alarm])).toBe("2 alarms wait for an answer; 1 is seen to.");
    expect(alarmsSentence([seenTo])).toBe("One alarm, and somebody is seeing to it.");
    expect(alarmsSentence([over])).toBe("No alarm lasts; some wait to be looked at.");
  });

  it("do not call quiet what is only put aside", () => {
    const shelved: ActiveAlarm = { ...alarm, name: "sensor-lost", state: "shelved" };
    expect(alarmsSentence([shelved])).toBe("One is so now and put aside: nobody is told.");
    expect(alarmsSentence([seenTo, shelved, { ...shelved, state: "out-of-service" }])).toBe(
      "One alarm, and somebody is seeing to it. 2 are so now and put aside.",
    );
    expect(alarmsSentence([{ ...shelved, to_s: 300 }])).toBe("No alarm lasts; some wait to be looked at.");
  });

  it("name who is seeing to it, or say that nobody is", () => {
    expect([alarm, seenTo, over].map(answeredWord)).toEqual([
      "Nobody has answered yet",
      "Ann is seeing to it",
      "Over; nobody has answered",
    ]);
    expect(answeredWord({ ...over, acknowledgedBy: "Ann" })).toBe("Ann has seen it");
    expect(answeredWord({ ...over, state: "latched-acknowledged", acknowledgedBy: "Ann" })).toMatch(/^Over; reset/);
  });
});
