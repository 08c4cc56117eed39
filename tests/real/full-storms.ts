// Storms, recessions and rain of whole recordings, some of them copyleft and so not in this repository, against figures
// that were published or counted independently. Run: node tests/real/full-storms.ts DATA_FOLDER

import { existsSync, readFileSync } from "node:fs";
import { join } from "node:path";
import type { InflowStretch } from "../../analysis/analyzer.ts";
import { eckhardt } from "../../analysis/storms/base-flow.ts";
import { findStorms } from "../../analysis/storms/find-storms.ts";
import type { RainStretch } from "../../analysis/storms/rain.ts";
import { fitRecession } from "../../analysis/storms/recession.ts";
import { wetSpells } from "../../analysis/storms/response-windows.ts";
import { wettest_m } from "../../analysis/storms/storm-rain.ts";
import { stormRecord } from "../../analysis/storms/storm-record.ts";
import { lyneHollick } from "../published/storms/lyne-hollick.ts";

const folder = process.argv[2];
if (folder === undefined || !existsSync(folder)) {
  console.error("usage: node tests/real/full-storms.ts DATA_FOLDER");
  process.exit(2);
}
const day_s = 86_400;
const hour_s = 3600;
let off = 0;
gauges(folder);
river(folder);
drains(folder);
baseFlow(folder);
process.exitCode = off === 0 ? 0 : 1;

function gauges(at: string): void {
  const files: [string, number, ...number[]][] = [
    ["e1-rain-greece-5min-1954-1956.csv", 300, 1353.6, 7.43, 29.1, 45.8, 78.9, 174, 40],
    ["e2-rain-esch-sur-sure-10min-2010.csv", 600, 658.6, 6.4, 11.8, 24.6, Number.NaN, 178, 19],
    ["e4-rain-dahl-10min-2016-01.csv", 600, 89.6, Number.NaN, Number.NaN, Number.NaN, Number.NaN, 22, Number.NaN],
  ];
  for (const [file, step_s, ...known] of files) {
    const rows = rowsOf(at, file);
    if (rows === null) continue;
    const rain = rows
      .filter(([, depth]) => depth !== "" && depth !== "NA")
      .map(([time, depth]) => ({ from_s: seconds(time) - step_s, to_s: seconds(time), rain_m: Number(depth) / 1000 }));
    const spells = wetSpells(rain);
    const found = [
      1000 * rain.reduce((sum, { rain_m }) => sum + rain_m, 0),
      ...[step_s, hour_s, 6 * hour_s, day_s].map((window_s) => 1000 * wettest_m(rain, window_s)),
      spells.length,
      spells.filter(({ depth_m }) => depth_m >= 0.01).length,
    ];
    const names = ["total mm", "a step mm", "an hour mm", "6 h mm", "24 h mm", "storms", "storms of 10 mm"];
    names.forEach((name, i) => {
      compare(`${file.slice(0, 2)} ${name}`, found[i] ?? Number.NaN, known[i] ?? Number.NaN, i < 5 ? 0.06 : 1);
    });
  }
}

/** A flashy river: 15 peaks over 1000 ft³/s from under 300; recession of the July flood not one exponential. */
function river(at: string): void {
  const cfs_m3s = 0.3048 ** 3;
  const rows = rowsOf(at, "c3-usgs-menomonee-wy2010-discharge.csv");
  if (rows === null) return;
  const flow = rows.map(([time, cfs]) => ({ at_s: seconds(time), flow_m3s: Number(cfs) * cfs_m3s }));
  const inflow: InflowStretch[] = [];
  for (let i = 1; i < flow.length; i += 1) {
    const [before, now] = [flow[i - 1], flow[i]];
    if (before === undefined || now === undefined || now.at_s <= before.at_s || now.at_s - before.at_s > hour_s)
      continue;
    const mean_m3s = (before.flow_m3s + now.flow_m3s) / 2;
    inflow.push({ from_s: before.at_s, to_s: now.at_s, inflow_m3s: mean_m3s, uInflow_m3s: 0.02 * mean_m3s });
  }
  const { storms } = findStorms(inflow, null);
  const great = storms.filter(({ peaks }) => (peaks[600]?.inflow_m3s ?? 0) > 1000 * cfs_m3s);
  let floods = 0;
  great.forEach((storm, i) => {
    const before = great[i - 1];
    const [from_s, to_s] = [before?.peaks[600]?.at_s ?? 0, storm.peaks[600]?.at_s ?? 0];
    const low = flow.some(({ at_s, flow_m3s }) => at_s > from_s && at_s < to_s && flow_m3s < 300 * cfs_m3s);
    if (before === undefined || low) floods += 1;
  });
  compare("c3 floods over 1000 ft³/s that rose from under 300", floods, 15, 0);
  const top_s = great.reduce((best, storm) =>
    (storm.peaks[600]?.inflow_m3s ?? 0) > (best.peaks[600]?.inflow_m3s ?? 0) ? storm : best,
  ).peaks[600]?.at_s;
  compare("c3 hours from the known peak", ((top_s ?? 0) - seconds("2010-07-22 22:30")) / hour_s, 0, 0.25);
  for (const [from_h, to_h, known_h] of [
    [12, 36, 36.2],
    [36, 84, 45.1],
  ] as const) {
    const after = flow.filter(
      ({ at_s }) => at_s >= (top_s ?? 0) + from_h * hour_s && at_s <= (top_s ?? 0) + to_h * hour_s,
    );
    const recession = fitRecession({
      time_s: after.map(({ at_s }) => at_s),
      flow_m3s: after.map(({ flow_m3s }) => flow_m3s),
      uFlow_m3s: 0,
      uBase_m3s: 0,
    });
    compare(`c3 recession ${from_h} to ${to_h} h, h`, (recession?.constant_s ?? 0) / hour_s, known_h, 0.1);
  }
}

/** Drains under fields, daily: the day's highest flow held against what the wettest day is foretold to bring. */
function drains(at: string): void {
  const rows = rowsOf(at, "c4-tile-drainage-daily.csv");
  if (rows === null) return;
  // Millimetres a day over 1000 m².
  const mm_m3s = 1 / day_s;
  for (const plot of new Set(rows.map(([site, plot]) => `${site} ${plot}`))) {
    const days = rows
      .filter(([site, name]) => `${site} ${name}` === plot)
      .map(([, , , date, flow, , rain]) => ({ from_s: seconds(date), flow, rain }))
      .sort((a, b) => a.from_s - b.from_s);
    const inflow: InflowStretch[] = days
      .filter(({ flow }) => flow !== "NA")
      .map(({ from_s, flow }) => ({
        from_s,
        to_s: from_s + day_s,
        inflow_m3s: Number(flow) * mm_m3s,
        uInflow_m3s: (0.05 * Number(flow) + 0.02) * mm_m3s,
      }));
    const rain: RainStretch[] = days
      .filter(({ rain }) => rain !== "NA")
      .map(({ from_s, rain }) => ({ from_s, to_s: from_s + day_s, rain_m: Number(rain) / 1000 }));
    const depth_m = Math.max(...rain.map(({ rain_m }) => rain_m));
    const record = stormRecord(inflow, rain, {
      design: { depth_m, duration_s: day_s, distribution: "uniform" },
      inflowFactor: 1.5,
    });
    const highest = Math.max(...inflow.map(({ inflow_m3s }) => inflow_m3s)) / mm_m3s;
    const { low_m3s = 0, inflow_m3s = 0, high_m3s = 0 } = record.design?.peaks[3600] ?? {};
    const fade = day_s / (record.masterRecession?.constant_s ?? 0);
    console.log(
      `         c4 ${plot}: ${record.storms.length} storms, fade ${fade.toFixed(2)} /day, wettest day of ${(1000 * depth_m).toFixed(0)} mm foretold ` +
        `${[inflow_m3s, low_m3s, high_m3s].map((q) => (q / mm_m3s).toFixed(1)).join(", ")} mm/day (middle, low, high)`,
    );
    const inside = highest * mm_m3s > low_m3s && highest * mm_m3s < high_m3s;
    compare(`c4 ${plot} highest flow ${highest.toFixed(1)} mm/day inside the range (1 or 0)`, inside ? 1 : 0, 1, 0);
  }
}

/** The recipe's own sum, from an independent implementation, and the indices that the record's publishers print. */
function baseFlow(at: string): void {
  const rows = rowsOf(at, "c5-bass-river-loch-daily-1974.csv");
  if (rows === null) return;
  const flow = rows.map((row) => Number(row.at(-1)));
  const sum = (values: readonly number[]) => values.reduce((total, value) => total + value, 0);
  compare("c5 base flow of three passes, 0.925", sum(lyneHollick(flow, 0.925)), 4501.3893, 0.001);
  compare("c5 base-flow index, 0.925", sum(lyneHollick(flow, 0.925)) / sum(flow), 0.39, 0.005);
  compare("c5 base-flow index, 0.98", sum(lyneHollick(flow, 0.98)) / sum(flow), 0.2, 0.005);
  compare("c5 base flow by Eckhardt, 0.98 and 0.8", sum(eckhardt(flow, 0.98, 0.8)), 5432.992, 0.001);
}

function compare(what: string, found: number, known: number, tolerance: number): void {
  if (Number.isNaN(known)) return;
  const agrees = Math.abs(found - known) <= tolerance;
  if (!agrees) off += 1;
  console.log(`${agrees ? "agrees  " : "DIFFERS "} ${what}: found ${Math.round(found * 100) / 100}, known ${known}`);
}

function rowsOf(at: string, file: string): string[][] | null {
  const path = join(at, file);
  if (!existsSync(path)) {
    console.log(`left out  ${file}`);
    return null;
  }
  const [, ...lines] = readFileSync(path, "utf8").trim().split("\n");
  return lines.map((line) => line.trim().split(","));
}

function seconds(text = ""): number {
  return Date.parse(text.includes(" ") ? `${text.replace(" ", "T")}Z` : `${text}T00:00Z`) / 1000;
}
