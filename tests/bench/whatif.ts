// The speed of a what-if: the inflow of a month at 1 Hz, as the analysis gives it, run against another installation.
// Run: node tests/bench/whatif.ts      (DAYS; 30 if not given)

import { createAnalyzer } from "../../analysis/analyzer.ts";
import { silentReading } from "../../analysis/readings/reading.ts";
import { buildInstallation } from "../../analysis/whatif/build-installation.ts";
import { joinInflow } from "../../analysis/whatif/join-inflow.ts";
import { listenToRecording } from "../../analysis/whatif/learn-recorded.ts";
import { batteryAsUsual, type WhatIfPlan } from "../../analysis/whatif/plan.ts";
import { replayInflow } from "../../analysis/whatif/replay.ts";
import { whatIf } from "../../analysis/whatif/what-if.ts";
import { parseSiteFile } from "../../daemon/config/parse-site-file.ts";
import { monthSiteFile, playMonth } from "./month/month.ts";
import { numberGiven } from "./number-given.ts";

const days = numberGiven(0, "DAYS", 30);
const rounds = 7;
const parsed = parseSiteFile(monthSiteFile, "month.yaml", []);
if (!parsed.ok) throw new Error(parsed.problems.map(({ text }) => text).join("\n"));
const { site } = parsed.siteFile;

const listener = listenToRecording(site);
const analyzer = createAnalyzer(site, { sink: listener.sink });
const month = playMonth(days);
const reading = { ...silentReading, time_s: 0, level_m: 0, pumpOn: false };
const analysis_ms = timed(() => {
  for (let i = 0; i < month.rows; i++) {
    reading.time_s = (month.time_ms[i] ?? 0) / 1000;
    reading.level_m = (month.level_mm[i] ?? 0) / 1000;
    reading.pumpOn = month.pumpOn[i] === 1;
    analyzer.push(reading);
  }
  analyzer.finish();
});
const { stretches } = joinInflow(listener.course().inflow);
const known = listener.known(analyzer.summary());
const plan: WhatIfPlan = {
  name: "bench",
  site,
  takesTurns: false,
  cuts: [],
  onBattery: batteryAsUsual,
  groundHead_m: null,
};
const worst: WhatIfPlan = { ...plan, cuts: [{ lasts_s: 4 * 3600, at_s: "worst" }] };
const built = buildInstallation(plan, known);
if (!built.ok) throw new Error(built.missing.join("\n"));

const { starts } = replayInflow(stretches, built.installation);
console.log(`${days} days, ${month.rows} readings, ${stretches.length} stretches of inflow, ${starts} starts`);
console.log(`the analysis, for comparison           ${analysis_ms.toFixed(0)} ms`);
show("an installation, from the site", () => buildInstallation(plan, known));
show("one replay", () => replayInflow(stretches, built.installation));
show("one candidate, with its ranges", () => whatIf(plan, stretches, known));
show("one candidate, at its worst moment", () => whatIf(worst, stretches, known));

function show(what: string, task: () => unknown): void {
  const first_ms = timed(task);
  const times_ms = Array.from({ length: rounds }, () => timed(task)).sort((a, b) => a - b);
  const middle_ms = times_ms[(rounds - 1) / 2] ?? Number.NaN;
  console.log(`${what.padEnd(38)} ${middle_ms.toFixed(1)} ms (the first time ${first_ms.toFixed(1)} ms)`);
}

function timed(task: () => unknown): number {
  const from_ms = performance.now();
  task();
  return performance.now() - from_ms;
}
