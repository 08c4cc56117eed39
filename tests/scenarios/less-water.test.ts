// A pump that moves less water than it did: how it came and what it points to, and storms and sensors that only look so.

import { describe, expect, it } from "vitest";
import type { Finding } from "../../analysis/findings/finding.ts";
import type { Reading } from "../../analysis/readings/reading.ts";
import { seededRandom } from "../../daemon/sources/simulated/random.ts";
import { analyse } from "../analysis/analyse.ts";
import { area_m2, inflow_m3s, pumpRate_m3s, reading, smallSite, startTime_s } from "../analysis/small-basin.ts";

interface Course {
  readonly duration_s: number;
  /** What comes in, and what the running pump moves, `running_s` after its start. */
  readonly inflow_m3s?: (time_s: number) => number;
  readonly pump_m3s?: (time_s: number, running_s: number) => number;
  readonly temperature_c?: (time_s: number) => number;
}

/** The basin of round figures in tenths of a second, read every second; times from its beginning. */
function play({
  duration_s,
  inflow_m3s: comes = () => inflow_m3s,
  pump_m3s = () => pumpRate_m3s,
  temperature_c,
}: Course) {
  const random = seededRandom(11);
  const readings: Reading[] = [];
  let level_m = 0.1;
  let since_s: number | null = null;
  const starts_s: number[] = [];
  for (let i = 0; i < duration_s * 10; i++) {
    const t = i / 10;
    if (since_s === null && level_m >= 0.3) {
      since_s = t;
      starts_s.push(t);
    } else if (since_s !== null && level_m <= 0.1) since_s = null;
    if (i % 10 === 0) {
      const read_m = level_m + random.normal(0.001);
      const cold = temperature_c === undefined ? {} : { temperature_c: temperature_c(t) };
      readings.push(reading(startTime_s + t, { level_m: read_m, pumpOn: since_s !== null, ...cold }));
    }
    const pumped = since_s === null ? 0 : Math.min(1, t - since_s) * pump_m3s(t, t - since_s);
    level_m += ((comes(t) - pumped) * 0.1) / area_m2;
  }
  return { readings, starts_s };
}

function lossesIn(readings: readonly Reading[]): Finding[] {
  const latest = new Map<string, Finding>();
  for (const { finding } of analyse(smallSite, readings).said.findings) {
    if (finding.kind === "discharge-blocked" || finding.kind === "pump-worn") {
      latest.set(`${finding.kind} ${finding.from_s}`, finding);
    }
  }
  return [...latest.values()];
}

const twelveRuns_s = 2700;

describe("a discharge that lets less through from one run to the next", () => {
  const to = (share: number) =>
    lossesIn(
      play({
        duration_s: 8000,
        pump_m3s: (t) => (t < twelveRuns_s ? 1 : share) * pumpRate_m3s,
      }).readings,
    );

  it.each([
    [0.3, "blocked"],
    [0.65, "part-closed"],
  ])("to %d of it is found within three runs, once, and points to %s", (share, cause) => {
    const found = to(share);
    expect(found).toMatchObject([{ kind: "discharge-blocked", to_s: null, evidence: { course: "sudden", cause } }]);
    expect((found[0]?.from_s ?? 0) - startTime_s - twelveRuns_s).toBeLessThan(3.5 * 260);
  });

  it("is ice where it freezes, and warmth brings it back", () => {
    const frozen = (t: number) => t > twelveRuns_s && t < 6000;
    const { readings } = play({
      duration_s: 9000,
      pump_m3s: (t) => (frozen(t) ? 0.3 : 1) * pumpRate_m3s,
      temperature_c: (t) => (frozen(t) ? -4 : 5),
    });
    const evidence = { course: "sudden", cause: "frozen", came_back_with_warmth: true };
    expect(lossesIn(readings)).toMatchObject([{ kind: "discharge-blocked", evidence }]);
    expect(lossesIn(readings)[0]?.to_s).not.toBeNull();
  });
});

describe("air caught in the pump", () => {
  it("shows in runs that begin late, again and again, and is over with them", () => {
    const airy = (t: number) => t > twelveRuns_s && t < 6000;
    const { readings } = play({
      duration_s: 9000,
      pump_m3s: (t, running_s) => (airy(t) && running_s < 15 ? 0 : 1) * pumpRate_m3s,
    });
    const found = lossesIn(readings);
    expect(found.length).toBeGreaterThan(0);
    for (const { kind, evidence, to_s } of found) {
      expect([kind, evidence.cause]).toEqual(["discharge-blocked", "air-bound"]);
      expect(to_s).not.toBeNull();
    }
  });

  it("that holds one run up for a minute is told, and that it went by itself", () => {
    const { readings } = play({
      duration_s: 5000,
      pump_m3s: (t, running_s) => (t > twelveRuns_s && t < twelveRuns_s + 300 && running_s < 80 ? 0 : 1) * pumpRate_m3s,
    });
    expect(lossesIn(readings)).toMatchObject([{ kind: "discharge-blocked", evidence: { cause: "air-bound" } }]);
  });
});

describe("wear", () => {
  it("of a fifth over a hundred runs came by and by", () => {
    const { readings } = play({
      duration_s: 60_000,
      pump_m3s: (t) => (1 - 0.25 * Math.min(1, Math.max(0, (t - 15_000) / 30_000))) * pumpRate_m3s,
    });
    expect(lossesIn(readings)).toMatchObject([{ kind: "pump-worn", evidence: { course: "slow", cause: "worn" } }]);
  });

  it("is none that comes at once: a fifth less and steady since is a way that is part closed", () => {
    const { readings } = play({ duration_s: 36_000, pump_m3s: (t) => (t < 15_000 ? 1 : 0.82) * pumpRate_m3s });
    expect(lossesIn(readings)).toMatchObject([
      { kind: "pump-worn", evidence: { course: "sudden", cause: "part-closed" } },
    ]);
  });
});

describe("a storm that breaks at a start", () => {
  const storm_m3s = 0.88 * pumpRate_m3s;
  const quiet = play({ duration_s: 4000 });

  it.each([-3, -2, 0, 1, 2, 4, 10, 15])("%d s from it is no blocked discharge", (after_s) => {
    const start_s = quiet.starts_s[11] ?? Number.NaN;
    const begins_s = start_s + after_s;
    const { readings } = play({
      duration_s: begins_s + 1500,
      inflow_m3s: (t) => (t < begins_s ? inflow_m3s : storm_m3s),
    });
    expect(lossesIn(readings)).toEqual([]);
  });
});
