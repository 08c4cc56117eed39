import { copyFileSync, existsSync, mkdtempSync, readdirSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import { DatabaseSync } from "node:sqlite";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { freshRecord } from "../../../../analysis/alarms/alarm-record.ts";
import type { Ahead } from "../../../../daemon/alarms/outbox/card-and-memory.ts";
import type { JournalEntry } from "../../../../daemon/alarms/outbox/journal-entry.ts";
import type { NewMessage } from "../../../../daemon/alarms/outbox/message-row.ts";
import { type Outbox, type OutboxOptions, openOutbox } from "../../../../daemon/alarms/outbox/outbox.ts";

const now_s = 1_700_000_000;
let folder: string;
let open: Outbox[];
let log: string[];
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), "undercroft-outbox-"));
  open = [];
  log = [];
});
afterEach(() => {
  for (const each of open) each.close();
  rmSync(folder, { recursive: true });
});

const path = () => join(folder, "alarms.sqlite");
const start = (at = path(), options: OutboxOptions = {}): Outbox => {
  const outbox = openOutbox(at, { now_s: () => now_s, log: (line) => log.push(line), ...options });
  open.push(outbox);
  return outbox;
};
const end = (outbox: Outbox) => {
  outbox.close();
  open = open.filter((each) => each !== outbox);
};
const message = (key: string): NewMessage => ({
  ...{ key, kind: "raised", alarm: "high-water", occurrence: "high-water-1", priority: "high", contact: "Ann" },
  ...{ onlyBy: null, due_s: now_s, expires_s: now_s + 100, from_s: now_s, to_s: null, facts: { level_m: 0.4 } },
});
const keep = (outbox: Outbox, ...keys: string[]) => outbox.keep({ alarms: [], messages: keys.map(message), now_s });
/** The database has taken what is on slips. */
const folded = () => new Promise((resolve) => setTimeout(resolve, 250));
const states = (outbox: Outbox) => outbox.messages(9).map(({ key, state, maybeSent }) => ({ key, state, maybeSent }));

/** As a power cut leaves it: without what the process would still have done. */
function asCutOff(from = folder): string {
  const other = mkdtempSync(join(folder, "cut-"));
  for (const name of readdirSync(from).filter((each) => each.startsWith("alarms.sqlite")))
    copyFileSync(join(from, name), join(other, name));
  return join(other, "alarms.sqlite");
}

const happened: JournalEntry = {
  ...{ at_s: now_s, kind: "raised", alarm: "high-water", occurrence: "", priority: "high" },
  ...{ by: null, via: null, reason: null, until_s: null },
};

describe("an outbox", () => {
  it("has after a power cut what was kept together right before, and knows that it may have left", () => {
    const outbox = start();
    keep(outbox, "a");
    outbox.change([1], { state: "sent", sent_s: now_s });
    outbox.together(() => {
      keep(outbox, "b");
      outbox.change([2], { state: "sending" });
    });
    expect(states(start(asCutOff()))).toEqual([
      { key: "b", state: "waiting", maybeSent: true },
      { key: "a", state: "sent", maybeSent: false },
    ]);
  });

  it("has on its card what is written ahead, and says nothing of it before it is confirmed", () => {
    const outbox = start();
    const ahead = outbox.ahead(() => {
      keep(outbox, "a");
      outbox.change([1], { state: "sending" });
      return states(outbox);
    });
    expect(ahead?.result).toEqual([{ key: "a", state: "sending", maybeSent: false }]);
    expect(states(outbox)).toEqual([]);
    expect(states(start(asCutOff()))).toEqual([{ key: "a", state: "waiting", maybeSent: true }]);
    ahead?.confirm();
    expect(states(outbox)).toEqual([{ key: "a", state: "sending", maybeSent: false }]);
    outbox.change([1], { state: "sent", sent_s: now_s });
    const sent = [{ key: "a", state: "sent", maybeSent: false }];
    expect(states(start(asCutOff()))).toEqual(sent);
    end(outbox);
    expect(states(start())).toEqual(sent);
  });

  it.each([
    ["is taken back", (ahead: Ahead<unknown> | null) => ahead?.takeBack()],
    ["is overtaken by what else is written", (_: unknown, outbox: Outbox) => outbox.setNote("more", "1")],
    ["is overtaken by what else is foreseen", (_: unknown, outbox: Outbox) => outbox.ahead(() => null)],
    ["is not confirmed before it is closed", (_: unknown, outbox: Outbox) => end(outbox)],
  ])("forgets what was written ahead and %s, on its card as well", (_, happen) => {
    const outbox = start();
    keep(outbox, "a");
    const ahead = outbox.ahead(() => keep(outbox, "b") ?? true);
    expect(states(start(asCutOff())).map(({ key }) => key)).toEqual(["b", "a"]);
    happen(ahead, outbox);
    expect(ahead?.stands()).toBe(false);
    expect(() => ahead?.confirm()).toThrow("what was taken back is confirmed");
    expect(states(start(asCutOff())).map(({ key }) => key)).toEqual(["a"]);
  });

  it("forgets it with the one write that takes its place, and keeps what comes after", async () => {
    const outbox = start();
    const database = readFileSync(path());
    const ahead = outbox.ahead(() => keep(outbox, "a") ?? true);
    keep(outbox, "b");
    expect(ahead?.stands()).toBe(false);
    expect(readFileSync(path()).equals(database)).toBe(true);
    outbox.ahead(() => keep(outbox, "c") ?? true)?.takeBack();
    outbox.ahead(() => keep(outbox, "d") ?? true)?.confirm();
    const kept = ["d", "b"];
    expect(states(start(asCutOff())).map(({ key }) => key)).toEqual(kept);
    await folded();
    expect(readFileSync(path()).equals(database)).toBe(false);
    expect(states(start(asCutOff())).map(({ key }) => key)).toEqual(kept);
  });

  it("is not told to be so after something else was written on a card that is not waited for", () => {
    let time_s = now_s;
    const outbox = start(path(), { now_s: () => time_s, slowAfter_ms: 0 });
    time_s += 7200; // it gets another chance, and takes as long again
    const ahead = outbox.ahead(() => keep(outbox, "a") ?? true);
    expect(outbox.problem()).toContain("the card took");
    keep(outbox, "b");
    expect(ahead?.stands()).toBe(false);
    end(outbox);
    expect(states(start()).map(({ key }) => key)).toEqual(["b"]);
  });

  it("has what was put before, however long nobody says whether what is ahead of its time is so", async () => {
    const outbox = start();
    keep(outbox, "a");
    const ahead = outbox.ahead(() => keep(outbox, "b") ?? true);
    await folded();
    expect(states(start(asCutOff())).map(({ key }) => key)).toEqual(["b", "a"]);
    expect(ahead?.stands()).toBe(true);
  });

  it("gives a number again that nobody was given, and writes nothing ahead that leads to nothing", () => {
    const outbox = start();
    expect(outbox.ahead(() => keep(outbox, "a") ?? null)).toBeNull();
    expect(states(start(asCutOff()))).toEqual([]);
    keep(outbox, "b");
    expect(outbox.message(1)?.key).toBe("b");
  });

  it("does nothing twice, however often the power goes", () => {
    const outbox = start();
    outbox.keep({
      ...{ alarms: [], messages: [message("a")], now_s },
      journal: [happened],
    });
    const cut = asCutOff();
    const again = start(cut);
    again.setNote("more", "1");
    const cutAgain = asCutOff(dirname(cut));
    for (const each of [cutAgain, cutAgain]) {
      const after = start(each);
      expect([after.journal(0).length, after.messages(9).length, after.note("more")]).toEqual([1, 1, "1"]);
      end(after);
    }
  });

  it("does not keep a message waiting for a card that has become slow, says so, and writes it afterwards", async () => {
    const outbox = start(path(), { slowAfter_ms: 0 });
    expect(outbox.problem()).toMatch(/^the card took 0\.\d s over one write; what is new is told first/);
    keep(outbox, "a");
    expect(start(asCutOff()).messages(9)).toEqual([]);
    await new Promise((resolve) => setImmediate(resolve));
    expect(start(asCutOff()).messages(9).length).toBe(1);
    expect(log.filter((line) => line.includes("one write")).length).toBe(1);
  });

  it("puts on the card in one piece what is written together, also where the work fails half-way", () => {
    const outbox = start();
    expect(() =>
      outbox.together(() => {
        keep(outbox, "a");
        throw new Error("a defect");
      }),
    ).toThrow("a defect");
    expect(states(start(asCutOff()))).toEqual([{ key: "a", state: "waiting", maybeSent: false }]);
  });

  it("has it also after a power cut where what lay beside it was lost before", () => {
    const outbox = start();
    for (const key of ["a", "b", "c", "d", "e", "f"]) keep(outbox, key);
    end(outbox);
    rmSync(`${path()}.recent`);
    keep(start(), "g");
    expect(states(start(asCutOff()))[0]).toEqual({ key: "g", state: "waiting", maybeSent: false });
  });

  it("takes more at once than there is room for on slips", () => {
    const outbox = start();
    outbox.setNote("long", "x".repeat(200_000));
    keep(outbox, "a");
    const after = start(asCutOff());
    expect(after.note("long")?.length).toBe(200_000);
    expect(after.messages(9).length).toBe(1);
  });

  it("that was deleted by hand numbers anew under another name", () => {
    const first = start();
    keep(first, "a");
    const { id, origin } = first.messages(1)[0] ?? {};
    end(first);
    rmSync(path());
    expect(existsSync(`${path()}.recent`)).toBe(true);
    const second = start();
    expect(second.messages(1)).toEqual([]);
    keep(second, "a");
    const again = second.messages(1)[0];
    expect(again?.id).toBe(id);
    expect(again?.origin).toMatch(/^[\da-f]{12}$/);
    expect(again?.origin).not.toBe(origin);
  });

  it("whose file is taken away while it is in use says so, and writes it anew under its own name", () => {
    const outbox = start();
    keep(outbox, "a");
    rmSync(path());
    outbox.tend(now_s + 100);
    expect(log.join("\n")).toContain("was taken away while it was in use");
    expect(outbox.problem()).toBeNull();
    keep(outbox, "b");
    const after = start(asCutOff());
    expect(after.messages(9).map(({ key, origin }) => [key, origin])).toEqual(
      outbox.messages(9).map(({ key, origin }) => [key, origin]),
    );
    expect(new Set(after.messages(9).map(({ origin }) => origin)).size).toBe(1);
  });

  it("of the version before gets a name, and keeps its messages", () => {
    const before = start();
    keep(before, "a");
    end(before);
    const file = new DatabaseSync(path());
    file.exec(`DROP TABLE slips; ALTER TABLE message DROP COLUMN origin; DELETE FROM note; PRAGMA user_version = 2;
      ALTER TABLE journal DROP COLUMN via; ALTER TABLE journal DROP COLUMN reason; ALTER TABLE journal DROP COLUMN until_s;
      DROP TABLE standing; CREATE TABLE book (id INTEGER PRIMARY KEY CHECK (id = 1), json TEXT NOT NULL) STRICT`);
    const records = [freshRecord("high-water"), { ...freshRecord("supply-lost"), occurrence: 7 }];
    file.prepare("INSERT INTO book VALUES (1, ?)").run(JSON.stringify(records));
    file.close();
    rmSync(`${path()}.recent`);
    const after = start();
    expect(after.alarms()).toEqual(records);
    keep(after, "b");
    expect(after.messages(9).map(({ key }) => key)).toEqual(["b", "a"]);
    expect(after.messages(1)[0]?.origin).toMatch(/^[\da-f]{12}$/);
    expect(after.messages(2)[1]?.origin).toBe(after.messages(1)[0]?.origin);
  });

  it("with a row that cannot be one is set aside, and the others are taken over", () => {
    const before = start();
    keep(before, "a", "b");
    end(before);
    const file = new DatabaseSync(path());
    file.exec("UPDATE message SET facts = 'no JSON' WHERE id = 1");
    file.close();
    const after = start();
    expect(after.messages(9).map(({ key }) => key)).toEqual(["b"]);
    expect(log[0]).toContain("stands aside as");
    keep(after, "c");
    expect(after.messages(1)[0]?.id).toBeGreaterThan(1000);
  });
});
