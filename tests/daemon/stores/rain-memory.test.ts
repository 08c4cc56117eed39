import { describe, expect, it } from "vitest";
import { type Reading, silentReading } from "../../../analysis/readings/reading.ts";
import { rainMemory } from "../../../daemon/stores/rain-memory.ts";
import { openSqliteStore } from "../../../daemon/stores/sqlite-store.ts";

const at = (time_s: number, rain_m: number | null): Reading => ({ ...silentReading, time_s, rain_m });
const depth = (stretches: readonly { readonly rain_m: number }[] | null) =>
  (stretches ?? []).reduce((sum, { rain_m }) => sum + rain_m, 0);

describe("the rain of the store", () => {
  it("is not known where no reading has any", async () => {
    const store = openSqliteStore(":memory:");
    store.append(at(60, null));
    expect(await rainMemory(store)()).toBeNull();
    store.close();
  });

  it("is all that fell, and what came since is added without reading the rest again", async () => {
    const store = openSqliteStore(":memory:");
    for (let minute = 0; minute <= 120; minute++) store.append(at(60 * minute, minute > 60 ? 0.0002 : 0));
    const asked: number[] = [];
    const rain = rainMemory({
      readingCount: store.readingCount,
      readings: (fromNth = 0) => {
        asked.push(fromNth);
        return store.readings(fromNth);
      },
    });
    const [first, same] = await Promise.all([rain(), rain()]);
    expect(depth(first)).toBeCloseTo(60 * 0.0002, 9);
    expect(same).toEqual(first);
    store.append(at(60 * 121, 0.001));
    expect(depth(await rain())).toBeCloseTo(60 * 0.0002 + 0.001, 9);
    expect(asked).toEqual([0, 121, 121]);
    store.close();
  });

  it("is worked off anew where the store has fewer readings than before", async () => {
    let readings = [at(0, 0), at(300, 0.001), at(600, 0.001)];
    const rain = rainMemory({
      readingCount: () => readings.length,
      readings: (fromNth = 0) => readings.slice(fromNth),
    });
    expect(depth(await rain())).toBeCloseTo(0.002, 9);
    readings = readings.slice(0, 2);
    expect(depth(await rain())).toBeCloseTo(0.001, 9);
  });
});
