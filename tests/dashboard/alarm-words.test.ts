import { describe, expect, it } from "vitest";
import type { ActiveAlarm, AlarmsAnswer } from "../../daemon/server/api-types.ts";
import {
  againWord,
  alarmsSentence,
  answeredWord,
  heartbeatWord,
  isUndelivered,
  messageOutcome,
  messageTitle,
  provenWord,
  stepWord,
  troubleLines,
} from "../../dashboard/alarm-words.ts";

const clock = (time_s: number) => `t${time_s}`;
const alarm: ActiveAlarm = {
  ...{ name: "high-water", title: "HIGH WATER", priority: "high", whatToDo: "Check the pump." },
  ...{ state: "unacknowledged", from_s: 100, to_s: null, acknowledgedBy: null },
};
const seenTo: ActiveAlarm = { ...alarm, name: "supply-lost", state: "acknowledged", acknowledgedBy: "Ann" };
const over: ActiveAlarm = { ...alarm, state: "returned-to-normal-unacknowledged", to_s: 300 };
const message: AlarmsAnswer["messages"][number] = {
  ...{ id: 7, kind: "raised", alarm: "high-water", contact: "Ann", onlyBy: null, priority: "high", state: "waiting" },
  ...{ due_s: 1000, next_s: 1060, sent_s: null, sentBy: null, delivered_s: null, tries: 0, maybeSent: false },
  ...{ joinedTo: null, reason: null },
};

describe("the words for alarms", () => {
  it("say first how many wait for an answer", () => {
    expect(alarmsSentence([])).toBe("No alarm lasts.");
    expect(alarmsSentence([alarm])).toBe("1 alarm waits for an answer.");
    expect(alarmsSentence([alarm, seenTo, alarm])).toBe("2 alarms wait for an answer; 1 is seen to.");
    expect(alarmsSentence([seenTo])).toBe("One alarm, and somebody sees to it.");
    expect(alarmsSentence([over])).toBe("No alarm lasts; some wait to be looked at.");
  });

  it("say how often the calls go round again", () => {
    expect(againWord({ after_s: 900, times: 5 })).toBe(
      "While nobody answers what is of high priority, the calls go round again 5 times: the first time after 15 min, then after twice as long each time.",
    );
    expect(againWord({ after_s: 900, times: 1 })).toMatch(/go round again once: after 15 min\.$/);
    expect(againWord({ after_s: 900, times: 0 })).toBe("Nobody is called a second time.");
  });

  it("name who sees to it, or say that nobody does", () => {
    expect([alarm, seenTo, over].map(answeredWord)).toEqual([
      "Nobody has answered yet",
      "Ann sees to it",
      "Over; nobody has answered",
    ]);
    expect(answeredWord({ ...over, acknowledgedBy: "Ann" })).toBe("Ann has seen it");
    expect(answeredWord({ ...over, state: "latched-acknowledged", acknowledgedBy: "Ann" })).toMatch(/^Over; reset/);
  });

  it("say of each message what became of it, and why it did not go", () => {
    const of = (change: Partial<typeof message>) => messageOutcome({ ...message, ...change }, clock);
    expect(of({})).toBe("due t1000");
    expect(of({ tries: 1, reason: "no network" })).toBe("tried once, again t1060: no network");
    expect(of({ tries: 4, reason: "no network" })).toBe("tried 4 times, again t1060: no network");
    expect(of({ state: "sent", sent_s: 1001, sentBy: "modem" })).toBe("handed over t1001 by modem");
    expect(of({ state: "sent", sent_s: 1001, sentBy: "modem", delivered_s: 1004, maybeSent: true })).toBe(
      "delivered t1001 by modem, perhaps twice",
    );
    expect(of({ state: "expired", reason: "no network" })).toBe("not sent in time: no network");
    expect(messageTitle(message, [{ name: "high-water", title: "HIGH WATER" }])).toBe("High water began");
    expect(messageTitle({ ...message, alarm: null, kind: "proof" }, [])).toBe("Monthly proof");
  });

  it("call a message undelivered that was given up within a day, or fails for more than a minute", () => {
    const is = (change: Partial<typeof message>, now_s: number) => isUndelivered({ ...message, ...change }, now_s);
    expect(is({ tries: 1 }, 1030)).toBe(false);
    expect(is({ tries: 1 }, 1070)).toBe(true);
    expect(is({ state: "refused" }, 1000)).toBe(true);
    expect(is({ state: "refused" }, 1000 + 86_401)).toBe(false);
    expect(is({ state: "called-off" }, 2000)).toBe(false);
  });

  it("say when somebody is called, and when that was last proven", () => {
    const call = [
      { contacts: ["Ann"], after_s: 0 },
      { contacts: ["Ben"], after_s: 600 },
    ];
    expect(stepWord(call, "Ann")).toBe("at once");
    expect(stepWord(call, "Ben")).toBe("after 10 min, unless somebody has answered");
    expect(provenWord(null, 0, clock)).toEqual({ words: "Never proven: send a test", isGood: false });
    expect(provenWord(0, 3600, clock)).toEqual({ words: "Last proven t0", isGood: true });
    expect(provenWord(0, 40 * 86_400, clock).words).toBe("Last proven t0, 40 days ago");
    expect(provenWord(0, 200 * 86_400, clock)).toMatchObject({ isGood: false });
  });

  it("say whether anybody outside would notice that the board is dead", () => {
    expect(heartbeatWord(null, clock)).toMatch(/dies silently/);
    const heartbeat = { host: "beat.example.org", every_s: 300, answered_s: null, problem: null };
    expect(heartbeatWord(heartbeat, clock)).toMatch(/^beat\.example\.org is told every 5 min .* has not answered/);
    expect(heartbeatWord({ ...heartbeat, answered_s: 9 }, clock)).toMatch(/it last answered t9\.$/);
  });

  it("name what keeps alarms from people, most serious first, and nothing while all is well", () => {
    const well = { unreached: [], channels: [], undelivered: 0, cardProblem: null, heartbeatProblem: null };
    expect(troubleLines(well)).toEqual([]);
    expect(
      troubleLines({
        unreached: ["Ann", "Ben"],
        channels: [{ name: "modem", problem: "no network." }],
        undelivered: 2,
        cardProblem: "disk full",
        heartbeatProblem: "no answer in 15 s",
      }),
    ).toEqual([
      "No channel reaches Ann and Ben now.",
      "modem: no network.",
      "2 messages of the last day did not get through.",
      "Messages are kept in memory alone; a power cut would lose those that have not been sent: disk full.",
      "The address that watches whether the board lives does not hear it: no answer in 15 s.",
    ]);
  });
});
