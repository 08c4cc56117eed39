import { describe, expect, it } from "vitest";
import { type Channel, channels, type Reading, silentReading } from "../../../../analysis/readings/reading.ts";
import { openSqliteStore } from "../../../../daemon/stores/sqlite-store.ts";

const always = { from_s: 0, to_s: 1e12 };
const noon_ms = 1_767_614_400_000;
const count = 40_000;

/** Noise enough that a chunk holds some thousands; a level left out now and then, contacts that are off, on, not read. */
function rowsOf(): { time_ms: Float64Array; columns: Float64Array[]; channels: readonly Channel[] } {
  const column = (value: (i: number) => number) => Float64Array.from({ length: count }, (_, i) => value(i));
  return {
    time_ms: column((i) => noon_ms + i * 1000 + (i % 7)),
    columns: [
      column((i) => (i % 97 === 5 ? Number.NaN : ((Math.imul(i + 1, 0x9e3779b1) >>> 16) % 20_000) / 10_000)),
      column((i) => [0, 1, Number.NaN][Math.floor(i / 50) % 3] ?? Number.NaN),
      column(() => Number.NaN),
    ],
    channels: ["level_m", "pumpOn", "rain_m"],
  };
}

function readingsOf({ time_ms, columns }: ReturnType<typeof rowsOf>): Reading[] {
  const orNull = (value: number | undefined) => (value === undefined || Number.isNaN(value) ? null : value);
  return Array.from(time_ms, (time, i) => {
    const pump = orNull(columns[1]?.[i]);
    return {
      ...silentReading,
      time_s: time / 1000,
      level_m: orNull(columns[0]?.[i]),
      pumpOn: pump === null ? null : pump !== 0,
    };
  });
}

/** In pieces, as a recording is read. */
function takenIn(before: readonly Reading[] = []) {
  const rows = rowsOf();
  const store = openSqliteStore(":memory:");
  for (const reading of before) store.append(reading);
  const { take, end } = store.intake();
  for (let at = 0; at < count; at += 3333) take(rows, at, Math.min(count, at + 3333));
  end();
  return store;
}

describe("rows that are taken in", () => {
  it("are the very readings that one by one would have been, and give the same roll-ups", () => {
    const store = takenIn();
    expect([...store.readings()]).toStrictEqual(readingsOf(rowsOf()));
    const oneByOne = openSqliteStore(":memory:");
    for (const reading of readingsOf(rowsOf())) oneByOne.append(reading);
    oneByOne.flush();
    for (const points of [20, 500, 100_000])
      expect(store.level(always, points)).toEqual(oneByOne.level(always, points));
    expect(store.span()).toEqual(oneByOne.span());
    store.close();
    oneByOne.close();
  });

  it("come after what the store had, and readings come after them", () => {
    const before = [1, 2, 3].map((i) => ({ ...silentReading, time_s: noon_ms / 1000 - 10 + i, level_m: i }));
    const store = takenIn(before);
    const after = { ...silentReading, time_s: noon_ms / 1000 + 1e6, level_m: 0.5 };
    store.append(after);
    expect([...store.readings()]).toStrictEqual([...before, ...readingsOf(rowsOf()), after]);
    expect(store.readingCount()).toBe(count + 4);
    store.close();
  });

  it("leave nothing where they are abandoned", () => {
    const store = openSqliteStore(":memory:");
    store.append({ ...silentReading, time_s: noon_ms / 1000 - 10, level_m: 0.5 });
    const { take, abandon } = store.intake();
    take(rowsOf(), 0, count);
    expect(store.readingCount()).toBeGreaterThan(10_000);
    abandon();
    expect(store.readingCount()).toBe(1);
    expect(store.span()?.to_s).toBe(noon_ms / 1000 - 10);
    expect(store.level(always, 100).mean_m).toEqual([0.5]);
    store.append({ ...silentReading, time_s: noon_ms / 1000, level_m: 0.25 });
    expect([...store.readings()].map(({ level_m }) => level_m)).toEqual([0.5, 0.25]);
    store.close();
  });

  it("are columns of any channel", () => {
    const store = openSqliteStore(":memory:");
    const { take, end } = store.intake();
    const columns = channels.map(() => Float64Array.of(1, Number.NaN));
    take({ time_ms: Float64Array.of(noon_ms, noon_ms + 1000), columns, channels }, 0, 2);
    end();
    const [first, second] = store.readings();
    expect(second).toStrictEqual({ ...silentReading, time_s: noon_ms / 1000 + 1 });
    expect([first?.level_m, first?.pumpOn, first?.rain_m, first?.mainsOn]).toEqual([1, true, 1, true]);
    store.close();
  });
});
