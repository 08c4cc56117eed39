// How well the analysis measures basins whose truth is known, and which findings it makes there: npm run bench:accuracy
//   [-- --only TEXT] [--seeds 5] [--jobs 2] [--details] [--write] [--real FOLDER]
// `--only` takes scenarios by a part of their name or by their group. `--write` renews analysis/accuracy.md; the part of
// it about real recordings is renewed when `--real` names the folder that holds them.

import { once } from "node:events";
import { existsSync, readFileSync, writeFileSync } from "node:fs";
import { parseArgs } from "node:util";
import { Worker } from "node:worker_threads";
import { type Comparison, compareRecordings } from "../real/recording-comparisons.ts";
import { accuracyPage } from "../truth/accuracy-page.ts";
import { pool, type Row } from "../truth/pool.ts";
import type { Scenario } from "../truth/scenario.ts";
import { scenarios } from "../truth/scenarios/index.ts";
import type { Score, Thrown } from "../truth/score.ts";
import { findingTable, inColumns, scenarioTable, twoPumpTable, verdictTable } from "../truth/tables.ts";
import { verdicts } from "../truth/verdicts.ts";

const { values: options } = parseArgs({
  options: {
    seeds: { type: "string", default: "5" },
    only: { type: "string", default: "" },
    jobs: { type: "string", default: "2" },
    details: { type: "boolean", default: false },
    write: { type: "boolean", default: false },
    real: { type: "string" },
  },
});

if (options.write && options.only !== "") {
  console.error("--write renews the whole page: leave out --only");
  process.exit(2);
}
if (options.real !== undefined && !existsSync(options.real)) {
  console.error(`--real: there is no folder ${options.real}`);
  process.exit(2);
}

/** Short recordings are played with more seeds: a rate of 0.99 does not show in five. */
const timesSeeds: Partial<Record<Scenario["group"], number>> = { sick: 4, storm: 2 };

const chosen = scenarios.filter(({ name, group }) => group === options.only || name.includes(options.only));
const jobs = chosen.flatMap((scenario) =>
  Array.from({ length: Number(options.seeds) * (timesSeeds[scenario.group] ?? 1) }, (_, i) => ({
    name: scenario.name,
    seed: i + 1,
  })),
);
const results = await scoreAll(jobs);
const rows = chosen.map((scenario) =>
  pool(
    scenario,
    results.filter((result) => result.scenario === scenario.name),
  ),
);
console.log(inColumns(scenarioTable(rows)));
console.log(`\n${inColumns(findingTable(rows))}`);
console.log(`\n${inColumns(twoPumpTable(rows))}`);
console.log(`\n${inColumns(verdictTable(verdicts(rows)))}`);
for (const { scenario, problems } of rows) for (const problem of problems) console.log(`${scenario.name}, ${problem}`);
for (const { scenario, seed, threw } of rows.flatMap((row) => row.thrown)) {
  console.log(`${scenario}, seed ${seed} threw: ${threw}`);
}
if (options.details) printDetails(rows);
const comparisons = options.real === undefined ? null : await comparedIn(options.real);
if (options.write) {
  const page = new URL("../../analysis/accuracy.md", import.meta.url);
  const before = existsSync(page) ? readFileSync(page, "utf8") : "";
  writeFileSync(page, accuracyPage(rows, Number(options.seeds), comparisons, before));
}

/** Long jobs first, so that the workers end together; the order of the scores is that of the jobs. */
async function scoreAll(all: readonly { readonly name: string; readonly seed: number }[]): Promise<(Score | Thrown)[]> {
  const order = all.map((_, i) => i).reverse();
  const done: (Score | Thrown)[] = new Array(all.length);
  let finished = 0;
  const run = async () => {
    const worker = new Worker(new URL("./accuracy-worker.ts", import.meta.url));
    for (let i = order.shift(); i !== undefined; i = order.shift()) {
      worker.postMessage(all[i]);
      const [score] = (await once(worker, "message")) as [Score | Thrown];
      done[i] = score;
      finished += 1;
      if (process.stderr.isTTY) process.stderr.write(`\r${finished} of ${all.length}`);
    }
    await worker.terminate();
  };
  await Promise.all(Array.from({ length: Math.max(1, Number(options.jobs)) }, run));
  if (process.stderr.isTTY) process.stderr.write("\r\x1b[K");
  return done;
}

async function comparedIn(folder: string): Promise<Comparison[]> {
  const all: Comparison[] = [];
  for await (const comparison of compareRecordings(folder)) all.push(comparison);
  return all;
}

/** What was missed and what was found of nothing: the first few of each kind and scenario. */
function printDetails(all: readonly Row[]): void {
  const told = new Map<string, number>();
  const print = (text: string, ...sort: readonly string[]) => {
    const count = (told.get(sort.join()) ?? 0) + 1;
    told.set(sort.join(), count);
    if (count <= 4) console.log(text);
  };
  for (const { scenario, events, falseAlarms } of all) {
    const { name } = scenario;
    for (const { kind, seed, from_s, to_s, delay_s } of events) {
      const true_s = `true from ${from_s.toFixed(0)} to ${to_s.toFixed(0)} s`;
      if (delay_s === null) print(`missed: ${kind} in "${name}" seed ${seed}, ${true_s}`, "missed", name, kind);
    }
    for (const { kind, seed, toldAt_s, from_s, to_s, evidence } of falseAlarms) {
      const span = `${from_s.toFixed(0)} to ${to_s?.toFixed(0) ?? "the end"} s`;
      const text = `told at ${toldAt_s.toFixed(0)} s for ${span}, ${JSON.stringify(evidence)}`;
      print(`false: ${kind} in "${name}" seed ${seed}, ${text}`, "false", name, kind);
    }
  }
}
