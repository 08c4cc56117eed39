// What a float that chatters, a blocked discharge, a stuck contact or an end in mid-run must not make of the figures.

import { describe, expect, it } from "vitest";
import type { Reading } from "../../analysis/readings/reading.ts";
import { seededRandom } from "../../daemon/sources/simulated/random.ts";
import { analyse } from "./analyse.ts";
import {
  area_m2,
  courseAt,
  courseReadings,
  cycle_s,
  inflow_m3s,
  reading,
  smallSite,
  startTime_s,
} from "./small-basin.ts";

/** For so long, with the pump on or off, the level goes by so much in a second; `leaps_m`: at once, at the beginning. */
interface Stretch {
  readonly duration_s: number;
  readonly on: boolean;
  readonly rate_ms: number;
  readonly leaps_m?: number;
}

/** A reading a second of one stretch after another, from `level_m` on, under a sensor's noise. */
function readingsOf(stretches: readonly Stretch[], level_m = 0.1, noise_m = 0.0005): Reading[] {
  const random = seededRandom(3);
  const readings: Reading[] = [];
  let at_m = level_m;
  for (const { duration_s, on, rate_ms, leaps_m = 0 } of stretches) {
    at_m += leaps_m;
    for (let t = 0; t < duration_s; t++) {
      const level = at_m + rate_ms * t + random.normal(noise_m);
      readings.push(reading(startTime_s + readings.length, { level_m: level, pumpOn: on }));
    }
    at_m += rate_ms * duration_s;
  }
  return readings;
}

function repeated(stretches: readonly Stretch[], times: number): Stretch[] {
  return Array.from({ length: times }, () => stretches).flat();
}

function kindsOf({ said }: ReturnType<typeof analyse>): string[] {
  return said.findings.filter(({ change }) => change === "began").map(({ finding }) => finding.kind);
}

describe("water that is back before the next reading", () => {
  // 4 L of 22 L: 40 mm. Then 160 s at 1 mm/s fill up, and 20 s at 10 mm/s empty.
  const cycle: Stretch[] = [
    { duration_s: 160, on: false, rate_ms: 0.001, leaps_m: 0.04 },
    { duration_s: 20, on: true, rate_ms: -0.01 },
  ];
  const found = analyse(smallSite, readingsOf(repeated(cycle, 20)));

  it("is told, to what the pump moves in the half second in which the stop is uncertain", () => {
    const later = found.cycles.slice(8, -1);
    for (const { drainBack_m3 } of later) expect(Math.abs((drainBack_m3 ?? 0) - 0.004)).toBeLessThan(0.0006);
    expect(kindsOf(found)).toEqual(["check-valve-leak"]);
  });

  it("is pumped twice: what was pumped is what came in and what came back", () => {
    const cycles = found.cycles.length;
    expect(found.summary.totals.pumped_l).toBeGreaterThan(0.97 * cycles * 22);
    expect(found.summary.totals.pumped_l).toBeLessThan(1.03 * cycles * 22);
    expect((found.summary.inflow.mean_lpm ?? 0) / 6).toBeCloseTo(1, 1);
  });
});

describe("a float that chatters", () => {
  // 3 L/min in; on for 2 s and off for 16 s at the start level, as much out as in.
  const healthy: Stretch[] = [
    { duration_s: 400, on: false, rate_ms: 0.0005 },
    { duration_s: 20, on: true, rate_ms: -0.01 },
  ];
  const chatter: Stretch[] = [
    { duration_s: 2, on: true, rate_ms: -0.004 },
    { duration_s: 16, on: false, rate_ms: 0.0005 },
  ];
  const filling: Stretch = { duration_s: 400, on: false, rate_ms: 0.0005 };
  const found = analyse(
    smallSite,
    readingsOf([...repeated(healthy, 20), filling, ...repeated(chatter, 100)], 0.1, 0.0015),
  );

  it("is named as the cause of many starts", () => {
    expect(kindsOf(found)).toEqual(["short-cycling"]);
    const [last] = found.said.findings.filter(({ finding }) => finding.kind === "short-cycling");
    expect(last?.finding.evidence.cause).toBe("float-chatter");
  });

  it("makes no peak and no pump too small", () => {
    for (const window of ["60", "600"] as const) {
      expect(found.summary.inflow.peak[window]?.lpm).toBeGreaterThan(2.9);
      expect(found.summary.inflow.peak[window]?.lpm).toBeLessThan(3.3);
    }
    expect(found.summary.sizing.verdict).toBe("adequate");
  });

  it("has no inflow told from rests of seconds", () => {
    const short = found.cycles.filter(({ rest_s }) => rest_s !== null && rest_s <= 16);
    expect(short.length).toBeGreaterThan(90);
    // The first of them follows a whole run.
    for (const { inflow } of short.slice(1)) expect(inflow).toBeNull();
  });
});

describe("a rest of twelve seconds between two runs, in which what runs back cannot be told apart", () => {
  const fill = { duration_s: 800, on: false, rate_ms: 0.00025 };
  const usual: Stretch[] = [fill, { duration_s: 20, on: true, rate_ms: -0.01 }];
  // Of 0.1 m2: four fifths of a litre come back within the twelve seconds, beside the 1.5 L/min that come in.
  const twice: Stretch[] = [
    fill,
    { duration_s: 9, on: true, rate_ms: -0.01 },
    { duration_s: 12, on: false, rate_ms: 0.00025 + 0.008 / 12 },
    { duration_s: 11, on: true, rate_ms: -0.01 },
  ];
  const found = analyse(smallSite, readingsOf([...repeated(usual, 10), ...twice, ...repeated(usual, 4)], 0.1, 0.002));

  it("makes no peak", () => {
    expect((found.summary.inflow.peak["60"]?.lpm ?? 0) / 1.5).toBeCloseTo(1, 1);
  });
});

describe("two pumps in storms of one and a half times what one moves, read each 20 s", () => {
  /** The second starts 60 mm over the first; by the second, 1 % spikes. */
  function* stormy(): Generator<Reading> {
    const random = seededRandom(7);
    const on = [false, false];
    let level_m = 0.1;
    for (let after_s = 0; after_s < 2 * 86_400; after_s += 1) {
      const storm = Math.max(0, Math.sin(after_s / 20_000)) ** 4;
      level_m += 0.0003 + 0.018 * storm - 0.011 * on.filter((runs) => runs).length;
      if (level_m >= 0.3) on[0] = true;
      if (level_m >= 0.36) on[1] = true;
      if (level_m <= 0.1) on.fill(false);
      level_m = Math.min(0.6, level_m);
      if (after_s % 20 !== 0) continue;
      const spike_m = random.uniform() < 0.01 ? 0.3 * (random.uniform() - 0.5) : 0;
      const seen_m = level_m + random.normal(0.001) + spike_m;
      yield reading(startTime_s + after_s, { pumpOn: on[0] === true, pump2On: on[1] === true, level_m: seen_m });
    }
  }

  it("are no sensor that shows foam, for the water goes on to where the second starts", () => {
    const faults = analyse(smallSite, stormy()).summary.findings.filter(({ kind }) => kind === "sensor-fault");
    expect(faults).toEqual([]);
  });
});

describe("a pump that runs on while its contact says for ten seconds that it rests", () => {
  // Half of every other run: the level goes on falling through what looks like a rest.
  const { cycles } = analyse(
    smallSite,
    courseReadings(30 * cycle_s).map((each) => {
      const into_s = (each.time_s - startTime_s) % (2 * cycle_s);
      return into_s >= 206 && into_s < 216 ? { ...each, pumpOn: false } : each;
    }),
  );

  it("makes no inflow below nothing: a basin loses no water at rest", () => {
    expect(cycles.filter(({ rest_s }) => rest_s !== null && rest_s < 15).length).toBeGreaterThan(10);
    for (const { inflow } of cycles) expect(inflow?.flow_m3s ?? 0).toBeGreaterThanOrEqual(0);
  });
});

describe("a run against a blocked discharge", () => {
  // 1.5 L/min in. For 400 s the pump moves nothing, gives up for a minute, and then moves water again.
  const rises_ms = 0.00025;
  const healthy: Stretch[] = [
    { duration_s: 800, on: false, rate_ms: rises_ms },
    { duration_s: 20, on: true, rate_ms: -0.01 },
  ];
  const blocked: Stretch[] = [
    { duration_s: 800, on: false, rate_ms: rises_ms },
    { duration_s: 400, on: true, rate_ms: rises_ms },
    { duration_s: 60, on: false, rate_ms: rises_ms },
    { duration_s: 31, on: true, rate_ms: -0.01 },
  ];
  const found = analyse(smallSite, readingsOf([...repeated(healthy, 12), ...blocked, ...repeated(healthy, 3)]));

  it("is told once, within a minute, and over with the run that moves water again", () => {
    const told = found.said.findings.filter(({ finding }) => finding.kind === "discharge-blocked");
    expect(told.map(({ change }) => change)).toEqual(["began", "ended"]);
    const { from_s, to_s } = told[1]?.finding ?? { from_s: 0, to_s: 0 };
    const blockedAt_s = startTime_s + 12 * 820 + 800;
    expect(from_s - blockedAt_s).toBeLessThan(60);
    expect((to_s ?? 0) - blockedAt_s).toBeGreaterThan(460);
    expect((to_s ?? 0) - blockedAt_s).toBeLessThan(460 + 40);
  });

  it("is no storm: nothing more comes in than before and after it", () => {
    for (const { inflow_m3s: flow } of found.said.inflow) expect(flow / (rises_ms * area_m2)).toBeLessThan(1.3);
    expect(kindsOf(found)).not.toContain("undersized");
  });
});

describe("a storm that breaks within a minute while the pump rests", () => {
  // From 6 L/min to 66.9, a little more than the pump moves, for 2000 s: as much as it moves at first hardly shows.
  const calm: Stretch[] = [
    { duration_s: 200, on: false, rate_ms: 0.001 },
    { duration_s: 20, on: true, rate_ms: -0.01 },
  ];
  const storm: Stretch[] = [
    { duration_s: 80, on: false, rate_ms: 0.001 },
    ...[0.0025, 0.0045].map((rate_ms) => ({ duration_s: 16, on: false, rate_ms })),
    { duration_s: 16, on: true, rate_ms: -0.0045 },
    { duration_s: 2000, on: true, rate_ms: 0.00015 },
    { duration_s: 44, on: true, rate_ms: -0.01 },
  ];
  const { summary, cycles } = analyse(smallSite, readingsOf([...repeated(calm, 12), ...storm, ...repeated(calm, 4)]));

  it("is no pump that is held back: what it moves at the end of its run shows that it was sound", () => {
    expect(cycles.some(({ run_s }) => run_s > 2000)).toBe(true);
    expect((summary.inflow.peak["600"]?.lpm ?? 0) / 66.9).toBeCloseTo(1, 1.7);
    expect(summary.sizing.verdict).toBe("undersized");
    expect((summary.sizing.margin ?? 0) / (66 / 66.9)).toBeCloseTo(1, 1.7);
  });
});

describe("a tap that starts a pump which is held back", () => {
  // 6 L/min, and 24 more from the tap, of 66 that the pump moves and 4 that seep through the held one.
  const calm: Stretch[] = [
    { duration_s: 200, on: false, rate_ms: 0.001 },
    { duration_s: 20, on: true, rate_ms: -0.01 },
  ];
  const held = (tap_s: number): Stretch[] => [
    { duration_s: 200 - 5 * tap_s, on: false, rate_ms: 0.001 },
    { duration_s: tap_s, on: false, rate_ms: 0.005 },
    { duration_s: 1800, on: true, rate_ms: (6 - 4) / 6000 },
    { duration_s: 80, on: true, rate_ms: -0.01 },
  ];

  it.each([15, 30])("of %d s goes on through none of its run of half an hour", (tap_s) => {
    const { summary, cycles } = analyse(
      smallSite,
      readingsOf([...repeated(calm, 12), ...held(tap_s), ...repeated(calm, 6)], 0.1, 0.001),
    );
    expect(cycles.some(({ run_s }) => run_s > 1800)).toBe(true);
    const whole_s = 18 * 220 + 200 - 4 * tap_s + 1880;
    const true_lpm = 6 + (24 * tap_s) / whole_s;
    expect(summary.inflow.mean_lpm ?? Number.NaN).toBeGreaterThan(0.97 * true_lpm);
    expect(summary.inflow.mean_lpm ?? Number.NaN).toBeLessThan(1.06 * true_lpm);
    const { lpm, u95_lpm } = summary.inflow.peak["600"] ?? { lpm: Number.NaN, u95_lpm: Number.NaN };
    expect(Math.abs(lpm - (6 + (24 * tap_s) / 600))).toBeLessThan(u95_lpm);
    expect(lpm).toBeLessThan(9);
  });
});

describe("a pump contact that is stuck", () => {
  it.each([true, false])("at %s is a faulty sensor, and the cycles are read off the level", (stuckAt) => {
    const random = seededRandom(7);
    const readings = courseReadings(15 * cycle_s, { noise: () => random.normal(0.001) });
    const found = analyse(
      smallSite,
      readings.map((each) => ({ ...each, pumpOn: stuckAt })),
    );
    const fault = found.said.findings.find(({ finding }) => finding.kind === "sensor-fault");
    expect(fault?.finding.evidence).toMatchObject({ channel: "pump_on", problem: "frozen" });
    // Three runs after ten minutes without a change prove it; those after them are told.
    expect((fault?.finding.from_s ?? 0) - startTime_s).toBeLessThan(600 + 3.5 * cycle_s);
    expect(found.cycles.length).toBeGreaterThanOrEqual(9);
    for (const { run_s, inflow } of found.cycles.slice(1)) {
      expect(Math.abs(run_s - 20)).toBeLessThan(4);
      expect((inflow?.flow_m3s ?? 0) / inflow_m3s).toBeCloseTo(1, 1);
    }
  });

  it("is no fault of a contact that follows, nor of one at rest through a dry day", () => {
    expect(kindsOf(analyse(smallSite, courseReadings(15 * cycle_s)))).toEqual([]);
    expect(kindsOf(analyse(smallSite, readingsOf([{ duration_s: 7200, on: false, rate_ms: 0.00001 }])))).toEqual([]);
  });
});

describe("a recording that ends in mid-run", () => {
  it("has the unfinished run in its running time, and its water at the others' mean", () => {
    const { summary } = analyse(smallSite, courseReadings(6 * cycle_s - 5));
    // Five runs of 20 s and the first 15 s of the sixth.
    expect(summary.totals).toMatchObject({ starts: 6, run_s: 115 });
    expect((summary.totals.pumped_l ?? 0) / (5 * 22)).toBeCloseTo(1, 1);
  });

  it("does not know what was pumped when most of it ran on unmeasured", () => {
    const { duration_s, on } = { duration_s: 3600, on: true };
    const endless = courseReadings(5 * cycle_s - 1).concat(
      Array.from({ length: duration_s }, (_, i) =>
        reading(startTime_s + 5 * cycle_s + i, { level_m: 0.1, pumpOn: on }),
      ),
    );
    const { summary } = analyse(smallSite, endless);
    expect(summary.totals.run_s).toBeGreaterThan(3600);
    expect(summary.totals.pumped_l).toBeNull();
  });

  it("does not know what a pump moved that no channel ever told of", () => {
    const dry = Array.from({ length: 100 }, (_, i) => reading(startTime_s + i, { temperature_c: 11, rain_m: 0 }));
    expect(analyse(smallSite, dry).summary.totals).toMatchObject({ starts: 0, run_s: 0, pumped_l: null });
  });
});

describe("a level alone, without a word of the pump", () => {
  const random = seededRandom(5);
  const levels = Array.from({ length: 10 * cycle_s }, (_, i) =>
    reading(startTime_s + i, { level_m: courseAt(i).level_m + random.normal(0.001) }),
  );

  it("sizes the pump while the water keeps to its levels", () => {
    expect(analyse(smallSite, levels).summary.sizing.verdict).toBe("adequate");
  });

  it("has not enough data once water has stood over the start level: the worst may have come unseen", () => {
    const risen = Array.from({ length: 400 }, (_, i) =>
      reading(startTime_s + 10 * cycle_s + i, { level_m: Math.min(0.4, 0.1 + 0.001 * i) + random.normal(0.001) }),
    );
    const standing = Array.from({ length: 300 }, (_, i) =>
      reading(startTime_s + 10 * cycle_s + 400 + i, { level_m: 0.4 + random.normal(0.001) }),
    );
    const { sizing } = analyse(smallSite, [...levels, ...risen, ...standing]).summary;
    expect(sizing).toMatchObject({ verdict: "not-enough-data", required_lpm: null });
  });
});

describe("a level alone that is lost from sight for an hour", () => {
  const random = seededRandom(6);
  const seen_s = 20 * cycle_s;
  const lost_s = 3600;
  const lostAs = (kept: number | null) =>
    Array.from({ length: 2 * seen_s + lost_s }, (_, i) => {
      const lost = i >= seen_s + 60 && i < seen_s + 60 + lost_s;
      return reading(startTime_s + i, { level_m: lost ? kept : courseAt(i).level_m + random.normal(0.001) });
    });

  it.each([
    ["frozen", 0.15],
    ["out of range", 9.9],
    ["at nothing, as where a cable breaks", 0],
    ["not given", null],
  ])("has no part in the mean inflow, nor in the peaks: %s", (_, kept) => {
    const { inflow } = analyse(smallSite, lostAs(kept)).summary;
    expect(Math.abs((inflow.mean_lpm ?? 0) - 6)).toBeLessThan(0.03);
    expect(Math.abs((inflow.peak["600"]?.lpm ?? 0) - 6)).toBeLessThan(0.1);
  });
});

describe("a float that holds the pump on with the water gone, while half of what it moves comes in", () => {
  // 30 L/min in and 66 out: with its allowance what comes in is three quarters of what the pump moves.
  const busy: Stretch[] = [
    { duration_s: 40, on: false, rate_ms: 0.005 },
    { duration_s: 33, on: true, rate_ms: -0.2 / 33 },
  ];
  const drawsAir: Stretch[] = [
    { duration_s: 10, on: true, rate_ms: -0.006 },
    { duration_s: 900, on: true, rate_ms: 0 },
    { duration_s: 12, on: false, rate_ms: 0.005 },
  ];
  const found = analyse(smallSite, readingsOf([...repeated(busy, 20), ...drawsAir, ...repeated(busy, 10)]));

  it("makes no pump too small of one that moves no more than comes in", () => {
    expect(kindsOf(found)).toContain("float-stuck-on");
    expect(kindsOf(found)).not.toContain("undersized");
    expect(found.summary.sizing.verdict).not.toBe("undersized");
  });
});
