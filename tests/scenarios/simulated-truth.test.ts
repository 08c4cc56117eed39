// The analysis against basins whose every drop is accounted for. Tolerances stand beside each claim; the bench
// tests/bench/accuracy.ts measures it on many more, by a simulator that shares nothing with this one.

import { describe, expect, it } from "vitest";
import { createAnalyzer } from "../../analysis/analyzer.ts";
import { silentReading } from "../../analysis/readings/reading.ts";
import { simulatedHouse } from "../../daemon/sources/simulated/house.ts";
import type { ScenarioName } from "../../daemon/sources/simulated/scenarios.ts";
import { demoSite } from "../daemon/sources/simulated/demo-site.ts";
import type { TruthScenario } from "./truth-scenarios.ts";
import { healthyScenarios, troubledScenarios } from "./truth-scenarios.ts";
import type { Agreement, Score } from "./truth-score.ts";
import { scoreScenario } from "./truth-score.ts";

/** A guard against hanging alone: beside much else a week takes minutes. */
const slow_ms = 600_000;

function score(name: string, change: Partial<TruthScenario> = {}, seed = 1): Score {
  const scenario = [...healthyScenarios, ...troubledScenarios].find((one) => one.name === name);
  if (scenario === undefined) throw new Error(`no scenario is called ${name}`);
  return scoreScenario({ ...scenario, ...change }, seed, createAnalyzer);
}

function expectEveryCycle({ recall, precision }: Score): void {
  expect(recall).toBe(1);
  expect(precision).toBe(1);
}

/**
 * Of n intervals of 95 % that are right, the share that holds the truth lies within 95 ± 3·√(0.95·0.05/n) %; 2 % more
 * are allowed for what the model of the fit leaves out.
 */
function expectCoverage({ compared, covered }: Agreement, fewest: number): void {
  expect(compared).toBeGreaterThanOrEqual(fewest);
  const spread = 3 * Math.sqrt((0.95 * 0.05) / compared);
  expect(covered).toBeGreaterThan(0.95 - spread - 0.02);
}

describe("a dry week of 604,800 readings", () => {
  it.each([1, 2])(
    "has every cycle found, every figure right, and no finding (seed %i)",
    (seed) => {
      const week = score("dry 4 L/min", {}, seed);
      expect(week.findings).toEqual([]);
      expect(week.trueCycles).toBeGreaterThan(1200);
      expectEveryCycle(week);
      expect(Math.abs(week.inflow.bias)).toBeLessThan(0.0005);
      expect(week.inflow.rms).toBeLessThan(0.003);
      expectCoverage(week.inflow, 1200);
      expect(Math.abs(week.pumpRate.bias)).toBeLessThan(0.005);
      expect(week.pumpRate.rms).toBeLessThan(0.03);
      expect(Math.abs(week.meanInflowError ?? Number.NaN)).toBeLessThan(0.001);
      expect(Math.abs(week.pumpedError ?? Number.NaN)).toBeLessThan(0.04);
    },
    slow_ms,
  );

  it.each([
    ["dry 1 L/min", 3],
    ["dry 8 L/min", 4],
  ])(
    "has no finding at another inflow either: %s (seed %i)",
    (name, seed) => {
      expect(score(name, {}, seed).findings).toEqual([]);
    },
    slow_ms,
  );
});

describe("water returned through the check valve", () => {
  it.each([
    ["dry 4 L/min", 0.15], // of 0.4 L, most of it back before the first reading after the stop
    ["drain-back 1 L", 0.2],
    ["drain-back 1 L, slow valve", 0.2],
    ["drain-back 1 L, steady 3 s", 0.2],
  ])(
    "is told apart from the inflow: %s, to %d L",
    (name, tolerance_l) => {
      const found = score(name, { days: 1 });
      expect(Math.abs(found.drainBackError_m3 * 1000)).toBeLessThan(tolerance_l);
      expect(Math.abs(found.inflow.bias)).toBeLessThan(0.0005);
      expectCoverage(found.inflow, 150);
    },
    slow_ms,
  );
});

describe("a valve that lets nothing back", () => {
  it(
    "shows nothing, and nothing is said of it but by chance in a cycle or two of a hundred",
    () => {
      const found = score("no drain-back", { days: 1 });
      expect(found.drainBackSeen).toBeLessThan(0.02);
      expect(Math.abs(found.inflow.bias)).toBeLessThan(0.0005);
      expectCoverage(found.inflow, 150);
    },
    slow_ms,
  );
});

describe("an inflow that changes", () => {
  it.each(["rising and falling 2-9", "recession 11 to 1"])(
    "is followed: %s",
    (name) => {
      const found = score(name);
      expectEveryCycle(found);
      expect(Math.abs(found.inflow.bias)).toBeLessThan(0.001);
      expect(found.inflow.covered).toBeGreaterThan(0.88);
      expectPeaks(found);
    },
    slow_ms,
  );

  it("is right to half a per cent where it falls while the water rises", () => {
    expect(Math.abs(score("falls as water rises").inflow.bias)).toBeLessThan(0.005);
  });
});

function expectPeaks({ peakError }: Score): void {
  expect(Math.abs(peakError["60"] ?? Number.NaN)).toBeLessThan(0.05);
  expect(Math.abs(peakError["600"] ?? Number.NaN)).toBeLessThan(0.03);
  expect(Math.abs(peakError["3600"] ?? Number.NaN)).toBeLessThan(0.03);
}

describe("a storm", () => {
  it.each([1, 2])(
    "half as strong as the pump is measured to its peaks (seed %i)",
    (seed) => {
      const found = score("storm, half of the pump", {}, seed);
      expectEveryCycle(found);
      expectPeaks(found);
      expect(found.missing).toEqual([]);
      expect(found.false).toEqual([]);
    },
    slow_ms,
  );

  it.each([1, 2])(
    "that the pump barely holds is measured, and its high water found (seed %i)",
    (seed) => {
      const found = score("storm barely held", {}, seed);
      expectEveryCycle(found);
      expectPeaks(found);
      expect(found.pumpRate.rms).toBeLessThan(0.03);
      expect(found.findings.map((finding) => finding.kind)).toContain("high-water");
      expect(found.false).toEqual([]);
    },
    slow_ms,
  );
});

describe("a poor sensor", () => {
  it.each([
    ["1 mm steps", 0.003],
    ["5 mm steps", 0.004],
    ["noise 5 mm", 0.006],
    ["2 % spikes of 50 mm", 0.003],
    ["drop-outs, 1 in 2000", 0.003],
    ["late and doubled rows", 0.003],
    ["every 5 s", 0.005],
    ["every 10 s", 0.008],
    ["level only", 0.003],
    ["level only, 5 mm steps", 0.004],
    ["level only, 2 % spikes", 0.003],
  ])(
    "leaves every cycle to be found, and the inflow of each to be known: %s, rms below %d",
    (name, rms) => {
      const found = score(name, { days: 1 });
      expectEveryCycle(found);
      expect(found.inflow.unknown).toBe(0);
      expect(found.inflow.rms).toBeLessThan(rms);
      expectCoverage(found.inflow, 150);
      expect(found.false).toEqual([]);
    },
    slow_ms,
  );

  it("is done without: from the pump's contact alone the inflow is known to its stated uncertainty", () => {
    const found = score("no level", { days: 1 });
    expectEveryCycle(found);
    expect(Math.abs(found.inflow.bias)).toBeLessThan(0.02); // 0.4 L of 32 L came back unseen
    expect(found.inflow.covered).toBeGreaterThan(0.93);
    expect(found.false).toEqual([]);
  });

  it("loses what falls into a gap, and nothing else", () => {
    const found = score("gaps");
    expect(found.recall).toBeGreaterThan(0.9);
    expect(found.precision).toBe(1);
    expectCoverage(found.inflow, 300);
    expect(found.false).toEqual([]);
  });
});

describe("what breaks", () => {
  it.each([
    "power cut 4 min",
    "power cut 40 min in rain",
    "float stuck off 2 h",
    "pump tripped 2 h",
    "floats too close together",
    "many starts in high inflow",
    "frozen sensor 3 h",
  ])(
    "is found, and nothing else is: %s",
    (name) => {
      const found = score(name, { days: 1 });
      expect(found.missing).toEqual([]);
      expect(found.false).toEqual([]);
    },
    slow_ms,
  );

  it("is found when the float hangs and the pump does not stop", () => {
    expect(score("float stuck on 1 h", { days: 1 }).missing).toEqual([]);
  });
});

describe("the demo's house", () => {
  it(
    "has no finding in a dry week",
    () => {
      expect(findingsOf("dry-week", 7 * 24).kinds).toEqual([]);
    },
    slow_ms,
  );

  it(
    "shows high water on the wet week's second evening, its pump too small, and no fault of float or sensor",
    () => {
      const { kinds, verdict } = findingsOf("wet-week", 36);
      expect(kinds).toEqual(["high-water", "inflow-exceeds-pump", "power-lost", "short-cycling", "undersized"]);
      expect(verdict).toBe("undersized");
    },
    slow_ms,
  );
});

function findingsOf(scenario: ScenarioName, hours: number) {
  const kinds = new Set<string>();
  const analyzer = createAnalyzer(demoSite, { sink: { finding: (finding) => kinds.add(finding.kind) } });
  const startTime_s = Date.parse("2026-03-02T15:00:00-05:00") / 1000;
  const house = simulatedHouse({ site: demoSite, scenario, seed: 1, startTime_s, samplePeriod_s: 1 });
  while (house.nextTime_s() < startTime_s + hours * 3600) analyzer.push({ ...silentReading, ...house.next() });
  analyzer.finish();
  return { kinds: [...kinds].sort(), verdict: analyzer.summary().sizing.verdict };
}
