// Prints how well the analysis measures basins whose truth is known: one line per scenario, several seeds.
//   node tests/bench/accuracy.ts [--seeds 3] [--only TEXT] [--findings]

import { parseArgs } from "node:util";
import { createAnalyzer } from "../../analysis/analyzer.ts";
import { playTruth } from "../scenarios/truth-run.ts";
import type { TruthScenario } from "../scenarios/truth-scenarios.ts";
import { healthyScenarios, troubledScenarios } from "../scenarios/truth-scenarios.ts";
import type { Score } from "../scenarios/truth-score.ts";
import { scoreScenario } from "../scenarios/truth-score.ts";

const { values: options } = parseArgs({
  options: {
    seeds: { type: "string", default: "2" },
    only: { type: "string", default: "" },
    findings: { type: "boolean", default: false },
  },
});

const columns: readonly (readonly [string, number, (score: Score) => string])[] = [
  ["cycles", 7, (s) => `${s.trueCycles}`],
  ["recall", 7, (s) => percent(s.recall, 1)],
  ["precis", 7, (s) => percent(s.precision, 1)],
  ["start s", 8, (s) => s.startError_s.toFixed(2)],
  ["| inflow %: bias", 17, (s) => percent(s.inflow.bias, 2)],
  ["rms", 7, (s) => percent(s.inflow.rms, 2)],
  ["u95", 7, (s) => percent(s.inflow.halfWidth, 2)],
  ["cover", 6, (s) => percent(s.inflow.covered, 1)],
  ["none", 5, (s) => `${s.inflow.unknown}`],
  ["| pump %: bias", 15, (s) => percent(s.pumpRate.bias, 2)],
  ["rms", 7, (s) => percent(s.pumpRate.rms, 2)],
  ["cover", 6, (s) => percent(s.pumpRate.covered, 1)],
  ["none", 5, (s) => `${s.pumpRate.unknown}`],
  ["| returned L", 13, (s) => (s.drainBackTrue_m3 * 1000).toFixed(2)],
  ["error", 7, (s) => (s.drainBackError_m3 * 1000).toFixed(3)],
  ["| mean %", 9, (s) => percent(s.meanInflowError, 2)],
  ["pumped", 7, (s) => percent(s.pumpedError, 2)],
  ["| peak 60", 10, (s) => percent(s.peakError["60"], 1)],
  ["600", 7, (s) => percent(s.peakError["600"], 1)],
  ["3600", 7, (s) => percent(s.peakError["3600"], 1)],
  ["| us", 6, (s) => s.perReading_us.toFixed(2)],
];

function percent(share: number | null, digits: number): string {
  return share === null ? "-" : (share * 100).toFixed(digits);
}

function row(scenario: TruthScenario, seed: number, score: Score): string {
  const cells = columns.map(([, width, cell]) => cell(score).padStart(width)).join("");
  const faults = [
    ...score.missing.map((kind) => `MISSING ${kind}`),
    ...score.false.map((kind) => `FALSE ${kind}`),
    ...(options.findings
      ? score.findings.map((f) => `${f.kind}@${f.from_s}-${f.to_s} ${JSON.stringify(f.evidence)}`)
      : []),
  ];
  return `${scenario.name.slice(0, 27).padEnd(28)}${`${seed}`.padStart(3)}${cells}  ${faults.join(", ")}`;
}

function truthRow(scenario: TruthScenario, seed: number): string {
  const run = playTruth(scenario, seed);
  let readings = 0;
  for (const _ of run.readings) readings++;
  const { cycles, meanInflow_m3s, peak_m3s, highestLevel_m } = run.truth();
  const peaks = Object.values(peak_m3s).map((peak) => (peak * 60_000).toFixed(2));
  const figures = `mean ${(meanInflow_m3s * 60_000).toFixed(2)} L/min, peaks ${peaks.join(" / ")}, up to ${highestLevel_m.toFixed(3)} m`;
  return `${scenario.name.padEnd(30)} ${readings} readings, ${cycles.length} cycles, ${figures}`;
}

const chosen = [...healthyScenarios, ...troubledScenarios].filter(({ name }) => name.includes(options.only));
const heading = columns.map(([title, width]) => title.padStart(width)).join("");
console.log(`${"scenario".padEnd(27)}seed${heading}  findings that are wrong`);
for (const scenario of chosen) {
  for (let seed = 1; seed <= Number(options.seeds); seed++) {
    try {
      console.log(row(scenario, seed, scoreScenario(scenario, seed, createAnalyzer)));
    } catch (error) {
      if (seed === 1) console.log(`not yet (${(error as Error).message}): ${truthRow(scenario, seed)}`);
    }
  }
}
