// A card that is full, read-only or damaged, and a file that another program has: people are told all the same, and what
// the card did not take is there once it can be written.

import { mkdtempSync, readdirSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { DatabaseSync } from "node:sqlite";
import { describe, expect, it, onTestFinished } from "vitest";
import { openOutbox } from "../../daemon/alarms/outbox/outbox.ts";
import { finding } from "../analysis/alarms/alarm-input.ts";
import { type House, house, owner } from "../daemon/alarms/told-by-hand.ts";
import { mayMount, tinyDisk } from "./tiny-disk.ts";

const start_s = 1_700_000_000;
const config = { contacts: [{ ...owner, mostAnHour: 60 }], call: [{ contacts: ["owner"], after_s: 0 }] };
const subjects = ({ sent }: House) => sent.map(({ subject }) => subject.replace("Hill House: ", ""));

function folderOfItsOwn(): string {
  const folder = mkdtempSync(join(tmpdir(), "undercroft-card-"));
  onTestFinished(() => rmSync(folder, { recursive: true }));
  return folder;
}

/** A storm in which the supply goes and comes back, then high water. */
async function badNight(at: House, from_s: number): Promise<void> {
  await at.see(from_s, [finding("power-lost", from_s)]);
  await at.see(from_s + 400, []);
  await at.see(from_s + 800, [finding("high-water", from_s + 800)]);
  await at.see(from_s + 1200, []);
  await at.clock.turnTo(from_s + 2000);
}
const nightInWords = ["SUPPLY LOST", "Supply is back", "HIGH WATER", "over: High water"];

describe.runIf(mayMount())("alarms on a full card", () => {
  it("are told, and stand on the card when there is room again", async () => {
    const disk = tinyDisk();
    onTestFinished(disk.remove);
    const path = join(disk.folder, "alarms.sqlite");
    const at = house(path, config);
    await at.see(start_s, []);
    disk.fill();
    // A few fit into what the file has had from the start.
    for (let night = 0; night < 5; night++) await badNight(at, start_s + 100 + night * 20_000);
    expect(at.service.outbox.problem()).toBeNull();
    at.service.outbox.setNote("more than there is room for", "x".repeat(1e6));
    for (let night = 5; night < 10; night++) await badNight(at, start_s + 100 + night * 20_000);
    expect(subjects(at)).toEqual(Array.from({ length: 10 }, () => nightInWords).flat());
    expect(at.service.outbox.problem()).toContain("the disk is full");
    expect(at.log.filter((line) => line.includes("cannot write")).length).toBe(1);
    disk.free();
    await at.see(start_s + 1_300_000, []);
    expect(at.service.outbox.problem()).toBeNull();
    await at.close();
    const after = openOutbox(path);
    expect(after.messages(1000).filter(({ state }) => state === "sent").length).toBe(40);
    after.close();
  });

  it("are told where it has become read-only before the start", async () => {
    const disk = tinyDisk();
    onTestFinished(disk.remove);
    const path = join(disk.folder, "alarms.sqlite");
    openOutbox(path).close();
    disk.readOnly();
    const at = house(path, config);
    await badNight(at, start_s + 100);
    expect(subjects(at)).toEqual(nightInWords);
    expect(at.service.outbox.problem()).toContain("read-only");
    disk.writable();
    await at.see(start_s + 5000, []);
    await at.close();
    const after = openOutbox(path);
    expect(after.messages(9).length).toBe(4);
    after.close();
  });
});

describe("alarms whose file cannot be used at the start", () => {
  it.each([
    [
      "damaged in its head",
      (path: string) => writeFileSync(path, "SQLite format 3\0 and nothing that can be read".repeat(200)),
    ],
    [
      "of another program",
      (path: string) => new DatabaseSync(path).exec("CREATE TABLE other (x); INSERT INTO other VALUES (1)"),
    ],
    [
      "of a newer version",
      (path: string) => {
        openOutbox(path).close();
        new DatabaseSync(path).exec("PRAGMA user_version = 99");
      },
    ],
  ])("set aside one that is %s, say so, and go on", async (_, make) => {
    const folder = folderOfItsOwn();
    const path = join(folder, "alarms.sqlite");
    make(path);
    const at = house(path, config);
    await badNight(at, start_s + 100);
    await at.close();
    expect(subjects(at)).toEqual(nightInWords);
    expect(at.log.join("\n")).toContain(`stands aside as ${path}.aside-2023-11-14T22-13-20; a new one was begun`);
    expect(readdirSync(folder)).toContain("alarms.sqlite.aside-2023-11-14T22-13-20");
    const after = openOutbox(path);
    expect(after.messages(9).length).toBe(4);
    after.close();
  });

  it("read from one that is damaged in the middle what it still gives", async () => {
    const path = join(folderOfItsOwn(), "alarms.sqlite");
    const before = house(path, config);
    for (let night = 0; night < 30; night++) await badNight(before, start_s + 100 + night * 20_000);
    await before.close();
    const file = new DatabaseSync(path);
    const { rootpage, size } = file
      .prepare("SELECT rootpage, page_size AS size FROM sqlite_schema, pragma_page_size WHERE name = 'journal'")
      .get() as { rootpage: number; size: number };
    file.close();
    const { openSync, writeSync, closeSync } = await import("node:fs");
    const at = openSync(path, "r+");
    writeSync(at, Buffer.alloc(size, 0xaa), 0, size, (rootpage - 1) * size);
    closeSync(at);
    const log: string[] = [];
    const after = openOutbox(path, { log: (line) => log.push(line) });
    expect(log[0]).toContain("it is damaged. It stands aside as");
    expect(after.messages(1000).length).toBe(120);
    after.close();
  });

  it("go on beside a program that has it, lose nothing of either, and write it when that program has ended", async () => {
    const path = join(folderOfItsOwn(), "alarms.sqlite");
    const before = house(path, config);
    await badNight(before, start_s + 100);
    await before.close();
    const other = new DatabaseSync(path);
    other.exec("BEGIN EXCLUSIVE");
    const at = house(path, config, start_s + 10_000);
    await badNight(at, start_s + 10_100);
    expect(subjects(at)).toEqual(nightInWords);
    other.close();
    await at.see(start_s + 20_000, []);
    await at.close();
    const after = openOutbox(path);
    expect(after.messages(99).length).toBe(8);
    after.close();
  });
});
