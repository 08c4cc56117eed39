import { describe, expect, it } from "vitest";
import { createMemory, type Memory } from "../../../../daemon/alarms/outbox/memory.ts";
import type { MessageRow } from "../../../../daemon/alarms/outbox/message-row.ts";
import { inMemory } from "../../../../daemon/alarms/outbox/outbox-file.ts";
import { prepared, run } from "../../../../daemon/alarms/outbox/statement.ts";

const now_s = 1_700_000_000;
const message = (id: number, change: Partial<MessageRow> = {}): MessageRow => ({
  ...{ id, key: `k${id}`, kind: "raised", alarm: "high-water", occurrence: "high-water-1", priority: "high" },
  ...{ contact: "Ann", onlyBy: null, due_s: now_s, expires_s: now_s + 100, from_s: now_s, to_s: null },
  ...{ facts: { level_m: 0.4, mains_on: false }, origin: "abc", created_s: now_s, state: "waiting", way: 0, tries: 0 },
  ...{ next_s: now_s, maybeSent: false, joinedTo: null, sent_s: null, sentBy: null, delivered_s: null, reason: null },
  ...{ calledOff: false, ...change },
});
const withMessages = (...all: MessageRow[]): Memory => {
  const memory = createMemory();
  memory.do({ is: "messages", messages: all });
  return memory;
};
const onCard = (memory: Memory) => {
  const database = inMemory();
  run(prepared(database), memory.statements());
  return database;
};

describe("the outbox' memory", () => {
  it("is the same after it was written and read", () => {
    const memory = withMessages(message(1, { state: "sent", sent_s: now_s, sentBy: "mail" }), message(2), message(7));
    memory.do({ is: "note", name: "alive", value: "1" });
    memory.do({ is: "stands", alarm: "high-water", json: "{}" });
    memory.do({ is: "proven", proven: { contact: "Ann", by: "mail", at_s: now_s } });
    const entry = { at_s: now_s, kind: "raised", alarm: "high-water", occurrence: "high-water-1" } as const;
    memory.do({
      is: "happened",
      entry: { ...entry, priority: "high", by: "Ann", via: "page", reason: "new pump", until_s: now_s },
    });
    memory.skipNumbers(2);
    const after = createMemory();
    expect(after.takeIn(onCard(memory), now_s)).toEqual({ isWhole: true, isSame: true });
    expect(after.messages.all()).toEqual(memory.messages.all());
    expect(after.statements()).toEqual(memory.statements());
    expect(after.nextId()).toBe(10);
  });

  it("is after tentative work as it was before, whatever that did", () => {
    const memory = withMessages(message(1), message(2, { state: "sent", sent_s: now_s, sentBy: "mail" }));
    memory.do({ is: "note", name: "alive", value: "1" });
    memory.do({ is: "stands", alarm: "high-water", json: "{}" });
    const before = memory.statements();
    const asked = () => [
      ...[memory.messages.waiting(), memory.messages.of("high-water-1"), memory.messages.sentSince("Ann", 0)],
      ...[memory.messages.hasKey("k3"), memory.note("more")],
    ];
    const answers = asked();
    const entry = { at_s: now_s, kind: "raised", alarm: "high-water", occurrence: "high-water-1" } as const;
    memory.tentatively(() => {
      memory.do({ is: "messages", messages: [message(memory.nextId())] });
      memory.do({ is: "change", id: 3, change: { state: "sent", sent_s: now_s + 1, sentBy: "modem" } });
      memory.do({ is: "change", id: 1, change: { state: "sending", joinedTo: 3 } });
      memory.do({ is: "change", id: 2, change: { delivered_s: now_s } });
      for (const value of ["2", "3"]) memory.do({ is: "note", name: "alive", value });
      memory.do({ is: "note", name: "more", value: "1" });
      memory.do({ is: "stands", alarm: "high-water", json: "[]" });
      memory.do({ is: "stands", alarm: "supply-lost", json: "{}" });
      memory.do({ is: "proven", proven: { contact: "Ann", by: "mail", at_s: now_s } });
      memory.do({
        is: "happened",
        entry: { ...entry, priority: "high", by: null, via: null, reason: null, until_s: null },
      });
      expect(memory.messages.hasKey("k3")).toBe(true);
    });
    expect(memory.statements()).toEqual(before);
    expect(asked()).toEqual(answers);
    expect(memory.nextId()).toBe(3);
  });

  it("takes an attempt that was under way as one that may have left, also where its own is under way meanwhile", () => {
    const database = onCard(
      withMessages(message(1, { state: "sending" }), message(2, { state: "sending", calledOff: true })),
    );
    const memory = withMessages(message(100_001, { state: "sending" }));
    expect(memory.takeIn(database, now_s)).toEqual({ isWhole: true, isSame: false });
    expect(memory.messages.all().map(({ id, state, maybeSent }) => [id, state, maybeSent])).toEqual([
      [1, "waiting", true],
      [2, "called-off", true],
      [100_001, "sending", false],
    ]);
  });

  it("lets nothing wait longer that was made before the clock was set back", () => {
    const database = onCard(withMessages(message(1, { created_s: now_s, due_s: now_s + 20, expires_s: now_s + 100 })));
    const memory = createMemory();
    memory.takeIn(database, now_s - 3600);
    const [{ created_s, due_s, next_s, expires_s } = message(0)] = memory.messages.all();
    expect([created_s, due_s, next_s, expires_s].map((time_s) => time_s - now_s)).toEqual([-3600, -3580, -3580, -3500]);
  });

  it("leaves out what it has, by number and by key, and says what it cannot read", () => {
    const database = onCard(withMessages(message(1), message(2)));
    database.exec(
      "INSERT INTO journal (at_s, kind, alarm, occurrence, priority) VALUES (1, 'sung', 'high-water', '', 'high')",
    );
    const memory = withMessages(message(1, { contact: "Ben" }), message(3, { key: "k2" }));
    expect(memory.takeIn(database, now_s).isWhole).toBe(false);
    expect(memory.messages.all().map(({ id, contact }) => [id, contact])).toEqual([
      [1, "Ben"],
      [3, "Ann"],
    ]);
    expect(memory.journal()).toEqual([]);
  });
});

describe("the messages in memory", () => {
  it("are known by when they left for a contact, in that order, as long as they count as sent", () => {
    const { messages } = withMessages(message(1), message(2), message(3), message(4, { kind: "test" }), message(5));
    for (const [id, ago_s] of [
      [2, 30],
      [1, 20],
      [3, 25],
      [4, 10],
    ] as const)
      messages.change(id, { state: "sent", sent_s: now_s - ago_s });
    const since = (since_s: number) => messages.sentSince("Ann", since_s).map(({ id }) => id);
    expect(since(now_s - 100)).toEqual([2, 3, 1]);
    expect(since(now_s - 25)).toEqual([3, 1]);
    messages.change(3, { state: "waiting", sent_s: null });
    messages.change(1, { delivered_s: now_s });
    expect(since(now_s - 100)).toEqual([2, 1]);
    expect(messages.waiting().map(({ id }) => id)).toEqual([3, 5]);
  });

  it("are forgotten once their end is known, and then may come again", () => {
    const memory = withMessages(message(1, { state: "sent", sent_s: now_s }), message(2));
    memory.do({ is: "forget", before_s: now_s + 1 });
    const { messages } = memory;
    expect(messages.all().map(({ id }) => id)).toEqual([2]);
    expect(messages.sentSince("Ann", 0)).toEqual([]);
    expect(messages.of("high-water-1").map(({ id }) => id)).toEqual([2]);
    expect([messages.hasKey("k1"), messages.hasKey("k2")]).toEqual([false, true]);
  });
});
