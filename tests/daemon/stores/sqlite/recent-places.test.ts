import { describe, expect, it } from "vitest";
import { recentPlaces } from "../../../../daemon/stores/sqlite/recent-places.ts";
import type { ForwardPlace } from "../../../../daemon/stores/store.ts";

const at = (readings: number, cyclesTo_s = readings): ForwardPlace => ({
  ...{ target: "there", readings, state: `of ${readings}`, cyclesTo_s },
  ...{ findingsTo_s: 0, inflowTo_s: 0, anewFrom_s: null },
});

describe("recentPlaces", () => {
  it("gives the newest, and for the file the newest that counts no reading beyond it, with all else as it is now", () => {
    const places = recentPlaces();
    for (const readings of [0, 2000, 4000, 6000]) places.add(at(readings));
    expect(places.newest()).toEqual(at(6000));
    expect(places.upTo(5000)).toEqual(at(4000, 6000));
    expect(places.upTo(3999)).toBeNull(); // of before it has forgotten
  });

  it("gives a place to the file once", () => {
    const places = recentPlaces();
    places.add(at(10));
    expect(places.upTo(10)).toEqual(at(10));
    places.written();
    expect(places.upTo(20)).toBeNull();
    expect(places.newest()).toEqual(at(10));
  });

  it("remembers few of many, and none beyond one that counts less", () => {
    const places = recentPlaces();
    for (let readings = 0; readings <= 10_000; readings += 5) places.add(at(readings));
    expect(places.upTo(5500)?.readings).toBeGreaterThan(4000);
    places.add(at(3000));
    expect(places.upTo(2999)).toBeNull();
    expect(places.upTo(9000)).toEqual(at(3000));
  });
});
