import { describe, expect, it } from "vitest";
import type { OverviewRow, StandingAlarm } from "../../../daemon/central/central-types.ts";
import { alarmsOf, alarmsSentence, answerWord, asideWord } from "../../../dashboard/central/alarm-order.ts";

const alarm = (title: string, given: Partial<StandingAlarm> = {}): StandingAlarm => ({
  ...{ name: "high-water", title, priority: "high", from_s: 100, since_s: 100, acknowledgedBy: null, answeredBy: null },
  ...given,
});
const row = (name: string, ...alarms: StandingAlarm[]) => ({ name, alarms }) as unknown as OverviewRow;
const titles = (...rows: OverviewRow[]) => alarmsOf(rows).map((each) => each.alarm.title);

describe("the alarms of all basins", () => {
  it("have the most urgent first, then those that nobody has answered, then what has lasted longest", () => {
    expect(
      titles(
        row("a", alarm("low", { priority: "low", since_s: 1 }), alarm("late", { since_s: 300 })),
        row("b", alarm("seen to", { acknowledgedBy: "Ann", since_s: 10 }), alarm("early", { since_s: 200 })),
        row("c"),
        row("d", alarm("medium", { priority: "medium", since_s: 1 }), alarm("on its way", { answeredBy: "Ben" })),
      ),
    ).toEqual(["early", "late", "seen to", "on its way", "medium", "low"]);
  });

  it("say who sees to each, and what the board has not confirmed", () => {
    expect(answerWord(alarm(""))).toBe("nobody has answered");
    expect(answerWord(alarm("", { acknowledgedBy: "Ann", answeredBy: null }))).toBe("Ann is seeing to it");
    expect(answerWord(alarm("", { answeredBy: "Ben" }))).toBe("Ben has answered; the board has not confirmed yet");
  });

  it("are shown while they are put aside, with when they come back", () => {
    const until_s = Date.parse("2026-03-04T14:10:00Z") / 1000;
    expect(asideWord({ title: "HIGH WATER", until_s, by: "Ann" }, "UTC")).toBe(
      "High water: shelved until Wed 4 Mar, 14:10, by Ann",
    );
    expect(asideWord({ title: "SENSOR LOST", until_s: null, by: null }, "UTC")).toBe("Sensor lost: out of service");
  });

  it("are counted, with those that nobody has answered", () => {
    const all = alarmsOf([row("a", alarm("x"), alarm("y", { acknowledgedBy: "Ann" }))]);
    expect(alarmsSentence(all)).toBe("2 alarms, 1 not answered");
    expect(alarmsSentence(all.slice(1))).toBe("1 alarm, all answered");
  });
});
