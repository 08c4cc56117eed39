import { type ComponentType, h } from "preact";
import { renderToString } from "preact-render-to-string";
import { afterEach, describe, expect, it } from "vitest";
import { alarmTable } from "../../../analysis/alarms/alarm-table.ts";
import type { ActiveAlarm, AlarmAside, AlarmDeed, AlarmsAnswer } from "../../../daemon/server/alarms-types.ts";
import { live } from "../../../dashboard/live.ts";
import { AlarmCard } from "../../../dashboard/parts/alarm-card.tsx";
import { AlarmContacts } from "../../../dashboard/parts/alarm-contacts.tsx";
import { AlarmDeeds } from "../../../dashboard/parts/alarm-deeds.tsx";
import { AlarmMessages } from "../../../dashboard/parts/alarm-messages.tsx";
import { AlarmTable } from "../../../dashboard/parts/alarm-table.tsx";
import { AlarmTroubleLines } from "../../../dashboard/parts/alarm-trouble.tsx";
import { AlarmsAside } from "../../../dashboard/parts/alarms-aside.tsx";
import { ServiceDone, serviceWord } from "../../../dashboard/parts/service-done.tsx";
import { chooseName } from "../../../dashboard/preferences.ts";

/** What a person reads, and what a screen reader says beside it. */
function textOf<Props extends object>(part: ComponentType<Props>, props: Props): string {
  const html = renderToString(h(part, props));
  return html.replaceAll(/<\/(p|li|h\d|button|dt|dd|span|summary|div)>/g, "\n").replaceAll(/<[^>]*>/g, "");
}

/** Their names, as a screen reader says them. */
const buttonsOf = <Props extends object>(part: ComponentType<Props>, props: Props) =>
  [...renderToString(h(part, props)).matchAll(/<button([^>]*)>(.*?)<\/button>/gs)].map(
    ([, attributes = "", inner]) => /aria-label="([^"]*)"/.exec(attributes)?.[1] ?? inner,
  );

const alarm: ActiveAlarm = {
  ...{ name: "high-water", title: "HIGH WATER", priority: "high", whatToDo: "Check the pump." },
  ...{ state: "unacknowledged", from_s: 100, to_s: null, acknowledgedBy: null },
};

const noService = { last: null, entered: false, by: null, due: null, due_s: null, today: "2026-05-01" };

const answer: AlarmsAnswer = {
  now_s: 10_000,
  service: noService,
  alarms: alarmTable.map(
    ({ since: _, ceased: _ceased, facts: _facts, worse: _worse, firstThing: _first, saidBy: _by, ...shown }) => ({
      ...shown,
      ...{ state: "normal", longestShelf_s: 8 * 3600, from_s: null, to_s: null, acknowledged: null },
      ...{
        shelvedUntil_s: null,
        shelved: null,
        takenOut: null,
        told: true,
        chattering: false,
        stale: false,
        history: [],
      },
    }),
  ),
  contacts: [],
  call: [],
  callAgain: { after_s: 900, times: 5 },
  cardProblem: null,
  heartbeat: null,
  messages: [],
  aside: [],
  done: [],
  performance: {
    ...{
      span_s: 1,
      count: 0,
      perDay: 0,
      per10min: 0,
      mostStale: 0,
      mostIn10min: 0,
      shareOver10: 0,
      shareInFlood: 0,
      mostFrequent: [],
    },
    ...{ chattering: [], split: { high: 0, medium: 0, low: 0 } },
  },
};
const message: AlarmsAnswer["messages"][number] = {
  ...{ id: 1, kind: "raised", alarm: "high-water", contact: "Ann", onlyBy: null, priority: "high", state: "sent" },
  ...{ due_s: 9500, next_s: 9500, sent_s: 9001, sentBy: "modem", delivered_s: 9002, tries: 1, maybeSent: false },
  ...{ joinedTo: null, reason: null },
};

afterEach(() => {
  live.value = null;
  chooseName("");
});

describe("the card of an alarm", () => {
  it("says what, how it stands and what to do, and has one button for whoever sees to it", () => {
    const text = textOf(AlarmCard, { alarm });
    expect(text).toMatch(/High water\n.*Nobody has answered yet · since Thu 1 Jan, 00:01.*\nCheck the pump\./s);
    expect(buttonsOf(AlarmCard, { alarm })).toEqual(["I'll see to it: High water"]);
  });

  it("says under which name this device answers", () => {
    chooseName("  Ann ");
    expect(textOf(AlarmCard, { alarm })).toContain("as Ann");
  });

  it("has no such button once somebody is seeing to it, and asks to be reset where it latches", () => {
    const seenTo = { ...alarm, state: "acknowledged", acknowledgedBy: "Ben" } as const;
    expect(buttonsOf(AlarmCard, { alarm: seenTo })).toEqual([]);
    expect(textOf(AlarmCard, { alarm: seenTo })).toContain("Ben is seeing to it");
    const latched = { ...alarm, state: "latched-acknowledged", to_s: 200, acknowledgedBy: "Ben" } as const;
    expect(buttonsOf(AlarmCard, { alarm: latched })).toEqual(["Reset"]);
  });

  it("tells nobody what to do about what is over", () => {
    const over = { ...alarm, state: "returned-to-normal-unacknowledged", to_s: 200 } as const;
    expect(textOf(AlarmCard, { alarm: over })).not.toContain("Check the pump.");
    expect(buttonsOf(AlarmCard, { alarm: over })).toEqual(["I have seen it: High water"]);
  });
});

describe("what is put aside", () => {
  it("says until when, by whom and why, that it is so now, and has a way back", () => {
    const aside: AlarmAside[] = [
      {
        ...{ name: "high-water", title: "HIGH WATER", until_s: 13_600, since_s: 10_000 },
        ...{ by: "Ann", reason: "the plumber is here" },
      },
    ];
    live.value = { alarms: [{ ...alarm, state: "shelved" }] } as never;
    const text = textOf(AlarmsAside, { aside });
    expect(text).toContain("High water — it is so now");
    expect(text).toContain("Shelved until Thu 1 Jan, 03:46, by Ann: the plumber is here");
    expect(buttonsOf(AlarmsAside, { aside })).toEqual(["Take off the shelf: High water"]);
    const out: AlarmAside[] = aside.map((each) => ({ ...each, until_s: null }));
    expect(textOf(AlarmsAside, { aside: out })).toContain(
      "Out of service, by Ann, since Thu 1 Jan, 02:46: the plumber is here",
    );
    expect(buttonsOf(AlarmsAside, { aside: out })).toEqual(["Put back in service: High water"]);
  });

  it("is no part of the page while nothing is", () => {
    expect(textOf(AlarmsAside, { aside: [] })).toBe("");
  });
});

describe("who did what", () => {
  const deed: AlarmDeed = {
    ...{ at_s: 3600, kind: "acknowledged", alarm: "high-water", title: "HIGH WATER", by: "Ann", via: "channel modem" },
    ...{ reason: null, until_s: null, contact: null },
  };

  it("stands newest first, with who, by which way and why; nothing where nobody has done anything", () => {
    const shelved: AlarmDeed = {
      ...deed,
      at_s: 7200,
      kind: "shelved",
      by: "Ben",
      via: "page",
      until_s: 10_800,
      reason: "new pump",
    } as const;
    const text = textOf(AlarmDeeds, { done: [shelved, deed] });
    expect(text).toContain("1 Jan 02:00High water: shelved until Thu 1 Jan, 03:00, by Ben, on the page: new pump\n");
    expect(text).toContain("1 Jan 01:00High water: answered by Ann, by a reply through modem\n");
    expect(textOf(AlarmDeeds, { done: [] })).toBe("");
  });

  it("folds away what is older than the latest few", () => {
    const done = Array.from({ length: 8 }, (_, k) => ({ ...deed, at_s: 9000 - k }));
    expect(textOf(AlarmDeeds, { done })).toContain("3 earlier");
  });

  it("stands with each alarm, beside what it did by itself", () => {
    const history: AlarmDeed[] = [deed, { ...deed, at_s: 3000, kind: "raised", by: null, via: null } as const];
    const alarms = answer.alarms.map((each) => (each.name === "high-water" ? { ...each, history } : each));
    const text = textOf(AlarmTable, { answer: { ...answer, alarms } });
    expect(text).toMatch(/What became of it\n.*Answered by Ann, by a reply through modem\n.*1 Jan 00:50Announced\n/s);
  });
});

describe("who is told", () => {
  it("says that nobody is where the site file names no contacts", () => {
    expect(textOf(AlarmContacts, { answer })).toContain("Nobody: the site file names no contacts.");
  });

  it("names each way, what is wrong with it and what became of the last test", () => {
    live.value = { now_s: 10_000 } as never;
    const failed = { at_s: 9500, reason: "refuses the password" };
    const way = {
      by: "mail",
      to: "a…@example.org",
      proven_s: null,
      problem: "refuses the password",
      note: null,
      failed,
    };
    const text = textOf(AlarmContacts, {
      answer: {
        ...answer,
        contacts: [{ name: "Ann", quiet: { from_min: 1320, to_min: 420 }, ways: [way] }],
        call: [{ contacts: ["Ann"], after_s: 0 }],
        messages: [],
      },
    });
    expect(text).toContain("Called at once. From 22:00 to 07:00 only what is of high priority.");
    expect(text).toContain("mail to a…@example.org\nNever proven: send a test\nRefuses the password");
    expect(text).toContain("The test of Thu 1 Jan, 02:38 did not get through.");
    expect(text.match(/refuses the password/gi)).toHaveLength(1);
  });
});

describe("messages", () => {
  it("have those first that did not get through, and of them those about the water", () => {
    const failed = { ...message, state: "waiting", tries: 3, reason: "no network" } as const;
    const messages: AlarmsAnswer["messages"] = [
      message,
      { ...failed, id: 2, kind: "test", alarm: null },
      { ...failed, id: 3, contact: "Ben" },
    ];
    const text = textOf(AlarmMessages, { answer: { ...answer, messages } });
    expect([...text.matchAll(/no\. (\d)/g)].map(([, id]) => id)).toEqual(["3", "2", "1"]);
    expect(text).toContain("High water began to Ben");
    expect(text).toContain("Tried 3 times, again 1 Jan 02:38: no network");
  });

  it("fold away those that are sent only if nobody answers, the next one first", () => {
    const later = { ...message, state: "waiting", tries: 0, due_s: 10_600, next_s: 10_600 } as const;
    const messages = [{ ...later, id: 3, due_s: 11_500 }, { ...later, id: 2, contact: "Ben" }, message];
    const text = textOf(AlarmMessages, { answer: { ...answer, messages } });
    expect(text).toContain("Next, unless somebody answers: Thu 1 Jan, 02:56, to Ben, and 1 later");
    expect([...text.matchAll(/no\. (\d)/g)].map(([, id]) => id)).toEqual(["2", "3", "1"]);
  });
});

it("folds away every alarm of the table, with buttons that put it aside", () => {
  expect(renderToString(h(AlarmTable, { answer })).match(/<details/g)).toHaveLength(alarmTable.length);
  const one = { ...answer, alarms: answer.alarms.slice(0, 1) };
  expect(buttonsOf(AlarmTable, { answer: one })).toEqual(["Shelve…", "Take out of service…"]);
});

it("says that somebody might not be told only while that is so", () => {
  const well = { unreached: [], channels: [], undelivered: 0, cardProblem: null, heartbeatProblem: null };
  expect(textOf(AlarmTroubleLines, { trouble: well })).toBe("");
  expect(textOf(AlarmTroubleLines, { trouble: { ...well, unreached: ["Ann"] } })).toContain("No channel reaches Ann");
});

describe("the service", () => {
  it("says when the last was and when the next is due", () => {
    const due_s = Date.parse("2026-10-30T13:00:00Z") / 1000;
    const done = { ...noService, last: "2026-05-01", entered: true, by: "Ann", due: "2026-10-30", due_s };
    expect(serviceWord(done, due_s - 1)).toBe("Last on 1 May 2026, entered by Ann. Due on 30 Oct 2026.");
    expect(serviceWord({ ...done, by: "the page" }, due_s + 1)).toBe(
      "Last on 1 May 2026. It has been due since 30 Oct 2026.",
    );
    expect(serviceWord(noService, due_s)).toMatch(/^None was entered yet/);
  });

  it("leads through its steps, the mains first, and is entered at their end", () => {
    const text = textOf(ServiceDone, { answer });
    expect(text.indexOf("Unplug the pump")).toBeLessThan(text.indexOf("bucket"));
    expect(text.trimEnd()).toMatch(/Done on\s+Enter the service$/);
  });

  it("can be taken back where it was entered, and not where it stands in the site file", () => {
    const due_s = Date.parse("2026-10-30T09:00:00Z") / 1000;
    const service = { ...noService, last: "2026-05-01", entered: true, by: "Ann", due: "2026-10-30", due_s };
    expect(buttonsOf(ServiceDone, { answer: { ...answer, service } })).toEqual([
      "Enter the service",
      "Take back the entry of 1 May 2026",
    ]);
    expect(buttonsOf(ServiceDone, { answer: { ...answer, service: { ...service, entered: false } } })).toEqual([
      "Enter the service",
    ]);
  });
});
