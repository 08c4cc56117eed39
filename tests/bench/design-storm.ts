// How often the truth lies in the range that is stated for a storm of the tables: npm run bench:storms
//   [-- --houses 240] [--days 7] [--every 2] [--from 0] [--misses]
// Houses of tests/analysis/storms/wet-ground.ts, whose ground works otherwise than the fit assumes. `--days` and `--every`
// fix the length of the records and the days between storms; without them both are drawn.

import { parseArgs } from "node:util";
import { designTrial, type Trial } from "../analysis/storms/design-trial.ts";
import { lpm } from "../analysis/storms/wet-ground.ts";

const { values: options } = parseArgs({
  options: {
    houses: { type: "string", default: "240" },
    from: { type: "string", default: "0" },
    days: { type: "string" },
    every: { type: "string" },
    misses: { type: "boolean", default: false },
  },
});
const change = {
  ...(options.days !== undefined && { days: Number(options.days) }),
  ...(options.every !== undefined && { everyDays: Number(options.every) }),
};
const first = Number(options.from);
const trials: Trial[] = [];
let without = 0;
for (let i = first; i < first + Number(options.houses); i += 1) {
  const trial = designTrial(`bench ${i}`, change);
  if (trial === null) without += 1;
  else trials.push(trial);
  if (options.misses && trial !== null && !trial.inside) console.log(miss(i, trial));
}
console.log(`${trials.length} houses; ${without} more saw no storm\n`);
console.log(
  ["".padEnd(16), "houses", "inside", "above", "error", "reach up", "down"].map((t) => t.padStart(9)).join(""),
);
line("all", trials);
for (const name of [...new Set(trials.map(({ house }) => house))].sort()) {
  line(
    name,
    trials.filter(({ house }) => house === name),
  );
}
for (const [least, most] of [
  [1, 1],
  [2, 2],
  [3, 5],
  [6, 99],
] as const) {
  line(
    `${least}-${most} storms`,
    trials.filter(({ storms }) => storms >= least && storms <= most),
  );
}

/** Shares of houses whose truth is inside and above the range; middle error of what is expected, and reaches of the range. */
function line(name: string, some: readonly Trial[]): void {
  if (some.length === 0) return;
  const share = (test: (trial: Trial) => boolean) => `${((100 * some.filter(test).length) / some.length).toFixed(1)} %`;
  const middle = (of: (trial: Trial) => number) =>
    `${(100 * (some.map(of).sort((a, b) => a - b)[some.length >> 1] ?? Number.NaN)).toFixed(0)} %`;
  const peak = (trial: Trial) => trial.design.peaks[600];
  console.log(
    [
      name.padEnd(16),
      some.length,
      share(({ inside }) => inside),
      share((trial) => trial.truth_m3s > peak(trial).high_m3s),
      middle((trial) => Math.abs(peak(trial).inflow_m3s / trial.truth_m3s - 1)),
      middle((trial) => peak(trial).high_m3s / peak(trial).inflow_m3s - 1),
      middle((trial) => 1 - peak(trial).low_m3s / peak(trial).inflow_m3s),
    ]
      .map((text) => `${text}`.padStart(9))
      .join(""),
  );
}

function miss(i: number, { house, storms, design, truth_m3s }: Trial): string {
  const { inflow_m3s, low_m3s, high_m3s } = design.peaks[600];
  const [said, low, high, truth] = [inflow_m3s, low_m3s, high_m3s, truth_m3s].map((q) => (q / lpm).toFixed(1));
  return `${i} ${house}, ${storms} storms, ${design.method}, ${design.timesSeen.toFixed(1)} times seen: ${said} (${low} to ${high}), true ${truth} L/min`;
}
