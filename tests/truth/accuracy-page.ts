// analysis/accuracy.md: the tables of the accuracy bench with how to read them. Bears no date and no timing, so that the
// same analysis gives the same page.

import { agrees, type Comparison } from "../real/recording-comparisons.ts";
import type { Row } from "./pool.ts";
import { isHealthy } from "./scenario.ts";
import { columnsOf, findingTable, inMarkdown, scenarioTable, twoPumpTable, verdictTable } from "./tables.ts";
import { healthyYears, verdicts } from "./verdicts.ts";

const realHeading = "## Real recordings";
/** Where the second half of the scenarios' columns begins. */
const secondHalf = 11;

/**
 * @param before the page as it stands, of which the part on real recordings is kept when there are no new comparisons
 * @param seeds  how many seeds the short healthy scenarios were played with
 */
export function accuracyPage(
  rows: readonly Row[],
  seeds: number,
  comparisons: readonly Comparison[] | null,
  before: string,
): string {
  const all = scenarioTable(rows);
  const sick = rows.filter(({ scenario }) => !isHealthy(scenario)).length;
  return `# Accuracy, measured

Written by \`npm run bench:accuracy -- --write\`; do not edit by hand. ${rows.length} basins whose every drop is accounted for, ${rows.length - sick} healthy and ${sick} sick, ${healthyYears(rows).toFixed(1)} healthy basin-years in all. The simulator (\`tests/truth/\`) shares nothing with the demo's or with the analysis: a pump that meets its discharge's friction, so that its flow goes with the level; a check valve that leaks through a gap or closes late; a riser that refills at the next start; ground water that works against the level, storms through a cascade of reservoirs, washing machines; floats that scatter; sensors that are noisy, coarse, drifting, sticking. Each scenario is played ${seeds} times or more, and each time basin, pump, inflow, floats and noise are drawn anew; the seeds are fixed, so that the same analysis gives the same figures.

A figure that misses its target carries \`!\`. The targets are those of a good instrument, not those that happen to be met.

## Targets

${inMarkdown(verdictTable(verdicts(rows)), false)}

A target by scenario allows for chance: a coverage is missed when its interval of two standard deviations (Wilson's) lies wholly outside 93 to 97 %, a bias when it is more than three standard deviations of the mean, a tenth of u95 and 0.05 %.

## Findings

When a finding is true follows from the water itself (level, motor, starts in an hour, inflow against pump), or from what was broken and when. Between what must be found and what must not lies what may be: a level within 20 mm of high water, wear of less than an eighth. *Delay* counts from the moment it is clearly true to the reading at which it is told, also in runs of the pump. *Told again*: the same trouble told more than once. *Cause right*: of the findings that should give a cause, how many gave the true one at the last. *False*: told of what is not so.

${inMarkdown(findingTable(rows))}

## Runs and inflow

*Start*: median error of the pump's start. *Bias*, *sd*: mean and standard deviation of (found − true) / true inflow over each rest. *Over bound*: error over the Cramér–Rao bound, where noise is white and inflow steady. *u95*: mean half-width of the stated interval. *Covered*: share of rests whose interval holds the truth. *Unsaid*: share of rests without an answer.

${inMarkdown(columnsOf(all, 1, secondHalf))}

## Pump, volumes and peaks

*Pump*: the same for the mean flow through the pump. *Returned*: water that came back after each stop, and the mean error. *Mean*, *pumped*, *peak*: error of the recording's mean inflow, pumped volume and highest means; of the seeds the one farthest off; blank where that is said to be at least so much, and is. Peaks are a target in storms alone: elsewhere the highest of thousands of noisy minutes stands beside an inflow that hardly moves, and tells how far noise, a trouble or a wrong guess can carry a peak. *Missed*, *false*: findings, over all seeds.

${inMarkdown(columnsOf(all, secondHalf, all.head.length))}

## Two pumps

Starts of each as counted, of those that there were, over all seeds; and what each moves alone, and both at once: of the seeds the one farthest off. That is held against the mean over all the time that they ran so, at whatever level the water stood, while what is said holds at the level of their usual runs: two that hold a storm high up in the basin for an hour move a few hundredths more meanwhile, and one that has worn moves less at the end. Blank where nothing is said, as of a standby that never ran alone.

${inMarkdown(twoPumpTable(rows))}

${comparisons === null ? keptPart(before) : realPart(comparisons)}
`;
}

function keptPart(before: string): string {
  const from = before.indexOf(realHeading);
  return from === -1 ? `${realHeading}\n\nNot compared yet.` : before.slice(from).trimEnd();
}

function realPart(comparisons: readonly Comparison[]): string {
  const compared = comparisons.filter(({ found }) => found !== null);
  const differing = compared.filter((comparison) => !agrees(comparison)).length;
  const table = {
    head: ["what", "found", "counted independently", "", "findings made"],
    cells: compared.map((comparison) => [
      comparison.what,
      `${comparison.found}`,
      `${comparison.known}${comparison.tolerance > 0 ? ` ± ${comparison.tolerance}` : ""}`,
      agrees(comparison) ? "agrees" : "differs!",
      [...comparison.findings].map(([kind, count]) => `${count} ${kind}`).join(", "),
    ]),
  };
  return `${realHeading}

Recordings of the real world, read by column maps, against counts made from their raw rows without this program. Their sources and licences stand in [tests/fixtures/ATTRIBUTION.md](../tests/fixtures/ATTRIBUTION.md) as far as cuts of them are in the project. Only what is known of each is compared; none of them is a basement's basin with its pump. Renewed by \`--real FOLDER\`. ${differing} of ${compared.length} differ.

${inMarkdown(table, false)}`;
}
