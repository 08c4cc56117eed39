// Plays basins that are drawn whole, and prints of each what is off: npm run bench:drawn
//   [-- --from 1] [--to 60] [--two] [--key TEXT] [--all]
// `--two` draws two pumps on one discharge, `--key` other basins for the same seeds, `--all` prints the sound ones, too.
// No table is made of it: it is where to look for what no scenario names yet.

import { parseArgs } from "node:util";
import { type DrawnBasin, drawnBasin, drawnPair } from "../truth/drawn-basin.ts";
import { judgedByAll } from "../truth/scenario.ts";
import { type Score, scoreOf } from "../truth/score.ts";

const { values: options } = parseArgs({
  options: {
    from: { type: "string", default: "1" },
    to: { type: "string", default: "60" },
    two: { type: "boolean", default: false },
    key: { type: "string", default: "drawn" },
    all: { type: "boolean", default: false },
  },
});

const [from, to] = [Number(options.from), Number(options.to)];
if (!(Number.isInteger(from) && Number.isInteger(to) && to >= from)) {
  console.error(`--from, --to: expected two whole numbers in order, found "${options.from}" and "${options.to}"`);
  process.exit(2);
}

let off = 0;
for (let seed = from; seed <= to; seed++) {
  const basin = options.two ? drawnPair(seed, options.key) : drawnBasin(seed, options.key);
  const found = await whatIsOff(basin, seed);
  if (found.length > 0) off += 1;
  if (found.length > 0 || options.all)
    console.log(`${seed}: ${basin.words.filter((word) => word !== "").join("; ")}\n    ${found.join("; ") || "sound"}`);
}
console.log(`${off} of ${to - from + 1} basins have something off`);

async function whatIsOff({ plan }: DrawnBasin, seed: number): Promise<string[]> {
  const scenario = { name: "drawn", group: "water", must: [], judge: judgedByAll, draw: () => plan } as const;
  try {
    return told(await scoreOf(scenario, seed), plan.sample_s);
  } catch (error) {
    return [`threw ${error instanceof Error ? error.stack : error}`];
  }
}

/** Errors that a user would mind; a minute's peak is never better known than its noise. */
function told(score: Score, sample_s: number): string[] {
  const all: string[] = [];
  const over = (what: string, error: number | null, most: number) => {
    if (error !== null && Math.abs(error) > most) all.push(`${what} ${(100 * error).toFixed(1)} %`);
  };
  over("mean", score.mean, 0.02);
  over("pumped", score.pumped, 0.04);
  over("minute", score.peaks["60"], 0.15);
  over("ten minutes", score.peaks["600"], 0.05);
  over("hour", score.peaks["3600"], 0.05);
  score.pumps?.rates.forEach((rate, i) => {
    over(["the first's rate", "the second's rate", "the rate of both"][i] ?? "", rate, 0.05);
  });
  const { matched, trueCycles, foundCycles } = score;
  // Readings so far apart show no run by itself.
  if (sample_s < 10 && matched < 0.995 * trueCycles) all.push(`${trueCycles - matched} of ${trueCycles} runs lost`);
  if (sample_s < 10 && matched < 0.995 * foundCycles) all.push(`${foundCycles - matched} runs made up`);
  for (const { kind, toldAt_s } of score.findings.falseAlarms)
    all.push(`false ${kind} at ${(toldAt_s / 3600).toFixed(1)} h`);
  for (const { kind, from_s, to_s, delay_s } of score.findings.events)
    if (delay_s === null) all.push(`${kind} missed, ${(from_s / 3600).toFixed(1)} to ${(to_s / 3600).toFixed(1)} h`);
  return all;
}
