import { describe, expect, it } from "vitest";
import type { AlarmsAnswer } from "../../daemon/server/alarms-types.ts";
import { asSentence, isOutdone, isUndelivered, messageOutcome, messageTitle } from "../../dashboard/message-words.ts";

const clock = (time_s: number) => `t${time_s}`;
const message: AlarmsAnswer["messages"][number] = {
  ...{ id: 7, kind: "raised", alarm: "high-water", contact: "Ann", onlyBy: null, priority: "high", state: "waiting" },
  ...{ due_s: 1000, next_s: 1060, sent_s: null, sentBy: null, delivered_s: null, tries: 0, maybeSent: false },
  ...{ joinedTo: null, reason: null },
};

describe("the words for messages", () => {
  it("begin a sentence with a capital, but no address", () => {
    expect(asSentence("no phone of Ann is told")).toBe("No phone of Ann is told");
    expect(asSentence("mqtt://127.0.0.1: no answer")).toBe("mqtt://127.0.0.1: no answer");
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
  it("let a failed test rest once something has got through by that way, and no alarm that went unheard", () => {
    const test = { ...message, kind: "test", alarm: null, onlyBy: "modem", state: "refused" } as const;
    const sent = (change: Partial<typeof message>) => [
      { ...message, id: 8, state: "sent", sentBy: "modem", ...change } as const,
      test,
    ];
    expect(isOutdone(test, sent({}))).toBe(true);
    expect(isOutdone(test, sent({ id: 6 }))).toBe(false);
    expect(isOutdone(test, sent({ sentBy: "mail" }))).toBe(false);
    expect(isOutdone(test, sent({ contact: "Ben" }))).toBe(false);
    expect(isOutdone(test, [{ ...test, id: 8 }])).toBe(true);
    expect(isOutdone({ ...test, id: 8 }, [test])).toBe(false);
    expect(isOutdone({ ...message, state: "expired", onlyBy: "modem" }, sent({}))).toBe(false);
  });
});
