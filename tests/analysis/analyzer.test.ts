import { describe, expect, it } from "vitest";
import { createAnalyzer } from "../../analysis/analyzer.ts";
import { basinGeometry } from "../../analysis/geometry/basin.ts";
import { basinModel } from "../../daemon/sources/simulated/basin-model.ts";
import { seededRandom } from "../../daemon/sources/simulated/random.ts";
import { sensors } from "../../daemon/sources/simulated/sensors.ts";
import * as fc from "../at-random.ts";
import { analyse } from "./analyse.ts";
import { anyReadings, anySite } from "./arbitrary-readings.ts";
import {
  courseReadings,
  cycle_s,
  inflow_m3s,
  pumpRate_m3s,
  reading,
  rest_s,
  run_s,
  smallSite,
  startTime_s,
} from "./small-basin.ts";

/** Where in `value` a number stands that is none. Degrees of freedom may be without end: they are in Student's t. */
function wrongNumbers(value: unknown, path = ""): string[] {
  if (typeof value === "number") {
    const endless = path.endsWith("degreesOfFreedom") && value === Number.POSITIVE_INFINITY;
    return Number.isFinite(value) || endless ? [] : [`${path} is ${value}`];
  }
  if (typeof value !== "object" || value === null) return [];
  return Object.entries(value).flatMap(([key, inner]) => wrongNumbers(inner, `${path}.${key}`));
}

function expectInOrder(spans: readonly { readonly from_s: number; readonly to_s: number }[]): void {
  spans.forEach(({ from_s, to_s }, i) => {
    expect(to_s).toBeGreaterThan(from_s);
    expect(from_s).toBeGreaterThanOrEqual((spans[i - 1]?.to_s ?? Number.NEGATIVE_INFINITY) - 1e-6);
  });
}

describe("any readings in", () => {
  it("give no throw, no number that is none, and cycles, stretches and gaps in order without overlap", () => {
    fc.assert(
      fc.property(anySite, anyReadings, (site, readings) => {
        const { said, cycles, summary, situation } = analyse(site, readings);
        expect(wrongNumbers({ said, summary, situation })).toEqual([]);
        expectInOrder(cycles.map(({ startedAt_s, stoppedAt_s }) => ({ from_s: startedAt_s, to_s: stoppedAt_s })));
        expectInOrder(said.inflow);
        expectInOrder(said.gaps);
        cycles.forEach((cycle, i) => {
          expect(cycle.run_s).toBe(cycle.stoppedAt_s - cycle.startedAt_s);
          if (cycle.rest_s === null) return;
          expect(cycle.rest_s).toBeGreaterThanOrEqual(0);
          const before = cycles[i - 1];
          if (before) expect(cycle.rest_s).toBeLessThanOrEqual(cycle.startedAt_s - before.stoppedAt_s + 1e-6);
        });
      }),
      { numRuns: 45 },
    );
  });

  it.each([
    [118, "2"],
    [142, "5"],
    [211, "20"],
  ])("hand on no time twice where readings are too far apart at first: seed %d", (seed, path) => {
    const property = fc.property(anySite, anyReadings, (site, readings) => {
      expectInOrder(analyse(site, readings).said.inflow);
    });
    fc.assert(property, { seed, path, numRuns: 1 });
  });

  it("leave cycles, inflow and gaps apart: nothing is known across a gap", () => {
    fc.assert(
      fc.property(anySite, anyReadings, (site, readings) => {
        const { said, cycles } = analyse(site, readings);
        const known = [
          ...said.inflow,
          ...cycles.map((cycle) => ({ from_s: cycle.startedAt_s, to_s: cycle.stoppedAt_s })),
        ];
        for (const gap of said.gaps) {
          expect(known.filter(({ from_s, to_s }) => from_s < gap.to_s - 1e-6 && to_s > gap.from_s + 1e-6)).toEqual([]);
        }
      }),
      { numRuns: 30 },
    );
  });

  it("tell every cycle first when it stops and once more when it settles, with the same start", () => {
    fc.assert(
      fc.property(anySite, anyReadings, (site, readings) => {
        const stages = new Map<number, string[]>();
        for (const { cycle, stage } of analyse(site, readings).said.cycles) {
          stages.set(cycle.startedAt_s, [...(stages.get(cycle.startedAt_s) ?? []), stage]);
        }
        for (const told of stages.values()) expect(told).toEqual(["stopped", "settled"]);
      }),
      { numRuns: 30 },
    );
  });

  it("tell of every finding its beginning first and its end last", () => {
    fc.assert(
      fc.property(anySite, anyReadings, (site, readings) => {
        const changes = new Map<string, string[]>();
        for (const { finding, change } of analyse(site, readings).said.findings) {
          const key = `${finding.kind} ${finding.from_s}`;
          changes.set(key, [...(changes.get(key) ?? []), change]);
          expect(finding.to_s === null).toBe(change !== "ended");
        }
        for (const told of changes.values()) {
          expect(told.join(" ")).toMatch(/^(began( updated)*( ended)?\s?)+$/);
        }
      }),
      { numRuns: 30 },
    );
  });
});

describe("a reading out of its time", () => {
  it("is left out when it is older than the newest, and taken when it is as old", () => {
    const analyzer = createAnalyzer(smallSite);
    for (const time_s of [100, 101, 100.5, 101, Number.NaN, Number.POSITIVE_INFINITY, 1e300, 102]) {
      analyzer.push(reading(time_s, { level_m: 0.2 }));
    }
    expect(analyzer.summary().span).toMatchObject({ rows: 4, start: "1970-01-01T00:01:40.000Z" });
    expect(analyzer.situation().time_s).toBe(102);
  });
});

describe("the situation", () => {
  it("says which findings are about to be over, and since when", () => {
    const analyzer = createAnalyzer(smallSite);
    const at = (time_s: number, mainsOn: boolean) => {
      analyzer.push(reading(time_s, { level_m: 0.2, mainsOn }));
      const { openFindings, ceasing } = analyzer.situation();
      return { open: openFindings.map(({ kind }) => kind), ceasing };
    };
    at(100, true);
    expect(at(101, false)).toEqual({ open: ["power-lost"], ceasing: undefined });
    // A supply that comes and goes is one loss: half a minute.
    const ceasing = [{ kind: "power-lost", from_s: 101, since_s: 110 }];
    expect(at(110, true)).toEqual({ open: ["power-lost"], ceasing });
    expect(at(139, true)).toEqual({ open: ["power-lost"], ceasing });
    expect(at(140, true)).toEqual({ open: [], ceasing: undefined });
  });
});

describe("a basin of round figures", () => {
  const { cycles, summary, said } = analyse(smallSite, courseReadings(20 * cycle_s));

  it("has its cycles timed to the reading and its flows to the last digits", () => {
    expect(cycles.length).toBe(20);
    cycles.forEach((cycle, i) => {
      expect(cycle.startedAt_s - startTime_s).toBe(i * cycle_s + rest_s);
      expect(cycle.run_s).toBe(run_s);
      expect(cycle.rest_s).toBe(i === 0 ? null : rest_s);
      expect((cycle.inflow?.flow_m3s ?? 0) / inflow_m3s).toBeCloseTo(1, 6);
      expect((cycle.pumpRate?.flow_m3s ?? 0) / pumpRate_m3s).toBeCloseTo(1, 6);
      expect(cycle.startLevel_m).toBeCloseTo(0.3, 6);
      // The stop came somewhere within the second before the reading that showed it: half of it is 5 mm.
      expect(Math.abs((cycle.stopLevel_m ?? 0) - 0.1)).toBeLessThan(0.0051);
    });
  });

  it("has its stop level from the rest after, where readings are too far apart for a run of 20 s to show it", () => {
    const seldom = analyse(smallSite, courseReadings(20 * cycle_s, { interval_s: 7 })).cycles.slice(1, -1);
    expect(seldom.length).toBeGreaterThan(15);
    // The last reading of a run alone lies up to 7 s of falling, 70 mm, above the stop level, and a run is timed to 7 s.
    for (const { stopLevel_m } of seldom) expect(Math.abs((stopLevel_m ?? 0) - 0.1)).toBeLessThan(0.008);
  });

  it("has an inflow without a hole from the first reading to the end of the last rest", () => {
    const ends_s = said.inflow.flatMap(({ from_s, to_s }) => [from_s, to_s]);
    for (let i = 1; i + 1 < ends_s.length; i += 2) expect(ends_s[i + 1]).toBeCloseTo(ends_s[i] ?? Number.NaN, 5);
    expect(ends_s[0]).toBe(startTime_s);
    expect(summary.inflow.mean_lpm).toBeCloseTo(6, 6);
    expect(summary.inflow.peak["3600"]?.lpm).toBeCloseTo(6, 6);
  });

  it("has its starts counted, and no finding", () => {
    // A start every 220 s: within an hour 16 steps of them, 17 starts.
    expect(summary.totals).toMatchObject({ starts: 20, run_s: 400, most_starts_in_an_hour: 17 });
    expect((summary.totals.pumped_l ?? 0) / (20 * 22)).toBeCloseTo(1, 2);
    expect(said.findings).toEqual([]);
  });
});

describe("a simulated day", () => {
  it.each([1, 2])(
    "balances: what was pumped is what came in less what is there more, to a per cent (seed %i)",
    (seed) => {
      const { basin } = smallSite;
      const geometry = basinGeometry(basin.geometry);
      const model = basinModel({
        geometry,
        startLevel_m: basin.startLevel_m ?? Number.NaN,
        stopLevel_m: basin.stopLevel_m ?? Number.NaN,
        highLevel_m: basin.highLevel_m,
        overflowLevel_m: basin.overflowLevel_m,
        inflow_m3s: () => 0.4 * inflow_m3s,
        pumpFlow_m3s: () => pumpRate_m3s,
        startTime_s,
        initialLevel_m: 0.2,
        drainBack_m3: 0.0004,
        random: seededRandom(seed, 1),
      });
      const read = sensors({}, seededRandom(seed, 2));
      const readings = Array.from({ length: 43_200 }, (_, i) => {
        model.advanceTo(startTime_s + 2 * i + 2);
        return read(model.state);
      });
      const { summary, cycles, said } = analyse(smallSite, readings);
      const stored_m3 = model.state.volume_m3 - geometry.volume_m3(0.2);
      const inflow_m3 = said.inflow.reduce(
        (sum, { from_s, to_s, inflow_m3s: flow }) => sum + flow * (to_s - from_s),
        0,
      );
      const returned_m3 = cycles.reduce((sum, { drainBack_m3 }) => sum + (drainBack_m3 ?? 0), 0);
      const pumped_m3 = (summary.totals.pumped_l ?? Number.NaN) / 1000;
      // What ran back was pumped twice.
      expect(Math.abs(inflow_m3 + returned_m3 - pumped_m3 - stored_m3) / inflow_m3).toBeLessThan(0.01);
      expect(inflow_m3 / model.state.inflow_m3).toBeCloseTo(1, 2);
      expect(Math.abs(pumped_m3 / model.state.pumped_m3 - 1)).toBeLessThan(0.02);
    },
  );
});
