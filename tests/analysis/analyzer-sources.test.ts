// The same basin through one source that reads all channels, and through several that speak each for itself.

import { describe, expect, it } from "vitest";
import type { Cycle } from "../../analysis/cycles/cycle.ts";
import type { Reading } from "../../analysis/readings/reading.ts";
import { studentTQuantile } from "../../analysis/statistics/student-t.ts";
import { type Random, seededRandom } from "../../daemon/sources/simulated/random.ts";
import { analyse } from "./analyse.ts";
import { courseAt, inflow_m3s, reading, smallSite, startTime_s } from "./small-basin.ts";

const duration_s = 2 * 3600;
const noise_m = 0.0015;

/** A course `slower` times as slow as the small basin's: inflow and discharge are as much less. */
interface Basin {
  readonly slower: number;
  readonly random: Random;
}

function levelAt({ slower, random }: Basin, after_s: number): Partial<Reading> {
  return { level_m: courseAt(after_s / slower).level_m + random.normal(noise_m) };
}

function contactAt({ slower }: Basin, after_s: number): Partial<Reading> {
  return { pumpOn: courseAt(after_s / slower).pumpOn };
}

function* together(basin: Basin, interval_s: number): Iterable<Reading> {
  for (let after_s = 0; after_s < duration_s * basin.slower; after_s += interval_s) {
    yield reading(startTime_s + after_s, { ...levelAt(basin, after_s), ...contactAt(basin, after_s) });
  }
}

/** Level and contact each on its own, the contact so much later, give or take `jitter_s`. */
function* apart(basin: Basin, interval_s: number, later_s: number, jitter_s: number): Iterable<Reading> {
  for (let after_s = 0; after_s < duration_s * basin.slower; after_s += interval_s) {
    yield reading(startTime_s + after_s, levelAt(basin, after_s));
    const contact_s = after_s + later_s + jitter_s * basin.random.uniform();
    yield reading(startTime_s + contact_s, contactAt(basin, contact_s));
  }
}

/** The level by the clock, the contact only when it changes. */
function* onChange(basin: Basin, interval_s: number): Iterable<Reading> {
  let was: boolean | null = null;
  for (let after_s = 0; after_s < duration_s * basin.slower; after_s += 1) {
    const { pumpOn } = courseAt(after_s / basin.slower);
    if (pumpOn !== was) yield reading(startTime_s + after_s, { pumpOn });
    if (after_s % interval_s === 0) yield reading(startTime_s + after_s, levelAt(basin, after_s));
    was = pumpOn;
  }
}

function expectSame(found: readonly Cycle[], wanted: readonly Cycle[], within_s: number, slower: number): void {
  expect(found.length).toBe(wanted.length);
  let held = 0;
  found.forEach((cycle, i) => {
    const other = wanted[i];
    expect(Math.abs(cycle.startedAt_s - (other?.startedAt_s ?? Number.NaN))).toBeLessThanOrEqual(within_s);
    expect(Math.abs(cycle.stoppedAt_s - (other?.stoppedAt_s ?? Number.NaN))).toBeLessThanOrEqual(within_s);
    const { inflow } = cycle;
    if (inflow === null) return;
    const half_m3s = studentTQuantile(0.975, inflow.degreesOfFreedom) * inflow.uFlow_m3s;
    if (Math.abs(inflow.flow_m3s - inflow_m3s / slower) <= half_m3s) held += 1;
  });
  // Of n intervals of 95 % that are right, the share that holds the truth is above 95 − 3·√(0.95·0.05/n) %.
  expect(held / found.length).toBeGreaterThan(0.93 - 3 * Math.sqrt((0.95 * 0.05) / found.length));
}

function basin(slower: number): Basin {
  return { slower, random: seededRandom(slower) };
}

describe("level and pump in readings of their own", () => {
  it.each([
    ["at equal times", 1, 1, 0, 0],
    ["20 ms apart", 1, 1, 0.02, 0],
    ["at times of their own", 1, 1, 0.3, 0.4],
    ["every 5 s", 2, 5, 0.2, 0.5],
    ["every 10 s", 3, 10, 0.2, 1],
  ])("give the same cycles and inflow, and no finding: %s", (_, slower, interval_s, later_s, jitter_s) => {
    const wanted = analyse(smallSite, together(basin(slower), interval_s));
    const found = analyse(smallSite, apart(basin(slower), interval_s, later_s, jitter_s));
    expect(found.said.findings).toEqual([]);
    expect(found.said.gaps).toEqual([]);
    expectSame(found.cycles, wanted.cycles, interval_s, slower);
    expect(found.summary.totals.starts).toBe(wanted.summary.totals.starts);
  });

  it.each([
    [1, 1],
    [2, 10],
    [6, 60],
    [6, 300],
  ])(
    "time the runs by a contact that speaks when it changes, level %i times as slow every %d s",
    (slower, interval_s) => {
      const wanted = analyse(smallSite, together(basin(slower), 1));
      const found = analyse(smallSite, onChange(basin(slower), interval_s));
      expect(found.said.findings).toEqual([]);
      expect(found.said.gaps).toEqual([]);
      expectSame(found.cycles, wanted.cycles, 1, slower);
    },
  );

  it("take a level that comes ten times as seldom as the pump's contact for no drop-out", () => {
    function* sparse(one: Basin): Iterable<Reading> {
      for (let after_s = 0; after_s < duration_s; after_s++) {
        yield reading(startTime_s + after_s, contactAt(one, after_s));
        if (after_s % 10 === 0) yield reading(startTime_s + after_s, levelAt(one, after_s));
      }
    }
    const found = analyse(smallSite, sparse(basin(1)));
    expect(found.said.findings).toEqual([]);
    expectSame(found.cycles, analyse(smallSite, together(basin(1), 1)).cycles, 1, 1);
  });

  it("do not mind other channels in between", () => {
    function* chatty(one: Basin): Iterable<Reading> {
      for (const each of apart(one, 1, 0.1, 0)) {
        yield each;
        yield reading(each.time_s, { temperature_c: 11, rain_m: 0 });
        yield reading(each.time_s, { mainsOn: true, highFloat: false });
        yield reading(each.time_s, {});
      }
    }
    const found = analyse(smallSite, chatty(basin(1)));
    const wanted = analyse(smallSite, apart(basin(1), 1, 0.1, 0));
    expectSame(found.cycles, wanted.cycles, 0, 1);
    expect(found.said.findings).toEqual([]);
  });
});

describe("the pump's float alone, beside the supply", () => {
  /** Two hours of the small basin; in the second, the supply goes 5 s into a run and comes back after 15 minutes. */
  const outage_s = [3 * 220 + 205, 3 * 220 + 205 + 900] as const;
  function* floatAndMains(): Iterable<Reading> {
    for (let t = 0; t < duration_s; t++) {
      const [from_s, to_s] = outage_s;
      const stood_s = Math.max(0, Math.min(t, to_s) - from_s);
      const mainsOn = !(t >= from_s && t < to_s);
      yield reading(startTime_s + t, { floatOn: courseAt(t - stood_s).pumpOn, mainsOn });
    }
  }

  it("counts no time without supply as run, and takes no rest cut short by it for one from float to float", () => {
    const { cycles, summary } = analyse(smallSite, floatAndMains());
    expect(Math.max(...cycles.map(({ run_s }) => run_s))).toBeLessThan(25);
    expect(summary.totals.run_s).toBeLessThan((duration_s / 220) * 20 + 20);
    for (const { inflow } of cycles) if (inflow !== null) expect(inflow.flow_m3s / inflow_m3s).toBeCloseTo(1, 1);
  });
});
