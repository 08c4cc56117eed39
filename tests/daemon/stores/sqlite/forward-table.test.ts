import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { DatabaseSync } from "node:sqlite";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { silentReading } from "../../../../analysis/readings/reading.ts";
import { forwardTable } from "../../../../daemon/stores/sqlite/forward-table.ts";
import { openSqliteStore } from "../../../../daemon/stores/sqlite-store.ts";
import type { ForwardPlace, Store } from "../../../../daemon/stores/store.ts";

const noon_s = 1_767_614_400;

let folder: string;
let store: Store;
const open = () => openSqliteStore(join(folder, "store.db"), { keepReadings_s: 7 * 86_400 });
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), "undercroft-forward-"));
  store = open();
});
afterEach(() => {
  store.close();
  rmSync(folder, { recursive: true });
});

const place: ForwardPlace = {
  target: "here",
  readings: 40,
  state: "of 40",
  cyclesTo_s: noon_s,
  findingsTo_s: Number.NEGATIVE_INFINITY,
  inflowTo_s: Number.POSITIVE_INFINITY,
  anewFrom_s: null,
};
const append = (from: number, to: number, step_s = 1) => {
  for (let i = from; i < to; i++) store.append({ ...silentReading, time_s: noon_s + i * step_s, level_m: noise(i) });
};
/** So that a page holds only so many. */
const noise = (i: number) => ((i * 7919) % 10_007) / 10_007;
const checkpoint = (readingsSeen: number) => store.saveCheckpoint({ state: null, readingsSeen });
const inTheFile = () => {
  const database = new DatabaseSync(join(folder, "store.db"), { readOnly: true });
  const found = forwardTable(database).place();
  database.close();
  return found;
};
const reopened = () => {
  store.close();
  store = open();
  return store.forward.place();
};

describe("the place of forwarding", () => {
  it("is none before the first, and afterwards as it was saved", () => {
    expect(store.forward.place()).toBeNull();
    append(0, 50);
    store.forward.savePlace(place);
    expect(store.forward.place()).toEqual(place);
    store.close(); // puts the readings into the database, and the place with them
    store = open();
    expect(store.forward.place()).toEqual(place);
  });

  it("comes into the file with the next checkpoint, and never counts readings that are not in the file", () => {
    const none = { ...place, readings: 0, state: "of none", cyclesTo_s: 0 };
    append(0, 50);
    store.forward.savePlace(none);
    store.forward.savePlace(place);
    checkpoint(50); // they fill no chunk yet
    const { cyclesTo_s } = place;
    expect(inTheFile()).toEqual({ ...none, cyclesTo_s });
    expect(store.forward.place()).toEqual(place);
  });

  it("says from when on all has been derived anew, until that has been seen to", () => {
    append(0, 50);
    store.forward.savePlace(place);
    store.flush();
    store.rebuild(() => {});
    expect(store.forward.place()).toEqual({ ...place, anewFrom_s: Number.NEGATIVE_INFINITY });
    append(50, 60);
    store.forward.savePlace(place);
    expect(reopened()).toEqual(place);
  });
});

describe("readings that are kept", () => {
  it("are counted up to those that outlive the process, without those that were dropped for their age", () => {
    append(0, 20_000, 60); // a fortnight
    expect(store.forward.kept().last).toBeLessThanOrEqual(20_000);
    store.close();
    store = open();
    append(20_000, 30_000, 60);
    store.flush();
    const { dropped, last } = store.forward.kept();
    expect(last).toBe(30_000);
    expect(dropped).toBeGreaterThan(1000);
    const [first] = store.readings();
    expect(first?.time_s).toBe(noon_s + dropped * 60);
  });
});

it("a record has a name of its own, which stays", () => {
  const name = store.forward.board();
  expect(name).toMatch(/^[0-9a-f]{16}$/);
  reopened();
  expect(store.forward.board()).toBe(name);
});
