import { spawnSync } from "node:child_process";
import {
  linkSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  symlinkSync,
  writeFileSync,
} from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { Command } from "commander";
import { afterAll, afterEach, beforeEach, describe, expect, it, onTestFinished, vi } from "vitest";
import { register } from "../../../daemon/commands/analyze.ts";
import { contractSite } from "../config/contract-site.ts";

const folder = mkdtempSync(join(tmpdir(), "undercroft-analyze-"));
const program = join(import.meta.dirname, "../../../daemon/undercroft.js");
const site = join(folder, "site.yaml");
const recording = join(folder, "week.csv");
writeFileSync(site, contractSite);
const out = vi.spyOn(console, "log");
const problems = vi.spyOn(console, "error");

beforeEach(() => {
  for (const stream of [out, problems]) stream.mockReset().mockImplementation(() => undefined);
});
afterEach(() => {
  process.exitCode = undefined;
});
afterAll(() => rmSync(folder, { recursive: true }));

describe("undercroft analyze", () => {
  it("blames a time zone that there is not on the option", async () => {
    expect(await refusal(oneReading, "--timezone", "Mars")).toEqual([
      '--timezone: expected a time zone such as America/Toronto, found "Mars"',
    ]);
  });

  it.each([
    ["a folder", () => folder],
    ["one in a folder that is not there", () => join(folder, "none", "report.json")],
  ])("says in one line that --json names %s, and leaves nothing behind", async (found, path) => {
    const before = readdirSync(folder);
    expect(await refusal(oneReading, "--json", path())).toEqual([
      `--json: expected a file that can be written, found ${found}: ${path()}`,
    ]);
    expect(readdirSync(folder)).toEqual(before);
    expect(readdirSync(tmpdir())).not.toContain(`${folder}.partial`);
  });

  it.each([
    ["the recording", "the recording", () => recording],
    ["the recording by another name", "the recording", () => link(recording)],
    ["the site file", "the site file", () => site],
    ["a file whose unfinished form is the recording", "the recording", () => recordingIsPartOf("report.json")],
  ])("refuses a --json that names %s, which stays as it was", async (_, found, path) => {
    writeFileSync(recording, oneReading);
    const named = path();
    expect(await refusal(oneReading, "--json", named)).toEqual([
      `--json: expected a file of its own for the report, found one that overwrites ${found}: ${named}`,
    ]);
    expect([readFileSync(recording, "utf8"), readFileSync(site, "utf8")]).toEqual([oneReading, contractSite]);
  });

  it("says of what was over within a minute or two how long it took, not the same minute twice", async () => {
    const second = (i: number) => `${Date.UTC(2026, 2, 4, 6) + i * 1000},${i < 100 || i >= 140 ? 1 : 0}`;
    await analyze(`time_ms,mains_on\n${Array.from({ length: 300 }, (_, i) => second(i)).join("\n")}\n`);
    expect(out.mock.calls.flat().join("\n")).toContain("power-lost (critical), Mar 4, 2026, 01:01 for 40 s\n");
  });

  it("lists no runs of a fridge that was taken for the motor before that had shown itself", async () => {
    const path = join(folder, "fridge.json");
    const power_w = (t: number) => (t % 1400 >= 1380 ? 900 : 0) + (t % 900 >= 600 ? 120 : 0);
    const rows = Array.from({ length: 4320 }, (_, i) => `${Date.UTC(2026, 2, 4) + i * 5000},${power_w(i * 5)}`);
    await analyze(`time_ms,pump_power_w\n${rows.join("\n")}\n`, "--json", path);
    const { cycles, totals } = JSON.parse(readFileSync(path, "utf8"));
    expect(totals.starts).toBeGreaterThan(5);
    expect(cycles).toHaveLength(totals.starts);
    for (const { run_s } of cycles) expect(run_s).toBeLessThan(60);
  });

  it("refuses --json - instead of making a file of that name", async () => {
    expect(await refusal(oneReading, "--json", "-")).toEqual([
      '--json: expected a file, found "-"; without --json a summary is printed; name a file',
    ]);
    expect(readdirSync(".")).not.toContain("-");
  });

  it("speaks of standard input by that name in what it mended and what it left out", () => {
    const { status, stderr } = spawnSync(process.execPath, [program, "analyze", "-", "--site", site], {
      encoding: "utf8",
      input: `time,level_mm,colour\n${"2026-03-02T20:00:00Z,200,blue\n".repeat(2)}`,
    });
    expect([status, stderr.trim().split("\n")]).toEqual([
      0,
      ['standard input: column "colour" is no channel and is ignored', "standard input: 1 doubled row left out"],
    ]);
  });

  it("writes the report under the name that it was given", async () => {
    await analyze(oneReading, "--json", join(folder, "report.json"));
    expect(JSON.parse(readFileSync(join(folder, "report.json"), "utf8")).span.rows).toBe(1);
  });

  it("speaks of one reading as one", async () => {
    await analyze(oneReading);
    expect(out.mock.calls.flat().join()).toContain("1 reading, ");
  });

  it("says what the pump moves as measured, beside what its curve says", async () => {
    await analyze(sawTooth());
    const said = out.mock.calls.flat().join();
    expect(said).toMatch(/moves, as measured: 18\.9 gpm \(71\.[67] L\/min\), the median of its runs/);
    expect(said).toMatch(/by its curve against this discharge: .* of head.*; measured, it moves\s+\d+ % less/);
  });

  it("says what it moves by many runs together, where the level alone is read too seldom to time one", async () => {
    await analyze(sawTooth(24, 17, false));
    const said = out.mock.calls.flat().join().replace(/\s+/g, " ");
    const [, lpm] = said.match(/moves, as measured: .* gpm \(([\d.]+) L\/min\), by many runs together/) ?? [];
    expect(Number(lpm) / 71.6).toBeCloseTo(1, 1);
    expect(said).toContain("the pump moves");
  });

  it("says on demand what makes each figure uncertain, and only then", async () => {
    writeFileSync(site, `${contractSite}measurement: { geometry: 2 % }\n`);
    onTestFinished(() => writeFileSync(site, contractSite));
    const report = join(folder, "with-budget.json");
    await analyze(sawTooth(), "--json", report, "--budget");
    const { cycles, budget } = JSON.parse(readFileSync(report, "utf8"));
    expect(budget.inputs).toMatchObject([
      { key: "measurement.geometry", unit: "1", sensitivity: 1, origin: "stated" },
      { key: "measurement.float_repeatability", unit: "m", sensitivity: null, origin: "learned" },
    ]);
    expect(percents(budget.mean_inflow).geometry).toBeCloseTo(2, 5);
    expect(percents(cycles[2].budget.inflow).geometry).toBeCloseTo(2, 5);
    expect(cycles[2].inflow.u95_lpm).toBeCloseTo(cycles[2].budget.inflow.u95, 9);
    await analyze(sawTooth(), "--json", report);
    expect(readFileSync(report, "utf8")).not.toContain("budget");
  });

  it("puts the budget under the readable summary as a table", async () => {
    await analyze(sawTooth(), "--budget");
    const said = out.mock.calls.flat().join("\n");
    expect(said).toMatch(
      /How sure\n +± % \(95 %\) +sensor-noise +calibration +geometry +float-repeatability +timing +returned-water +all\n/,
    );
    expect(said).toMatch(/\n {2}mean inflow +[\d.e-]+ +– +– +– +– +– +[\d.e-]+\n/);
    expect(said).toMatch(/they are left out, not taken as\s+exact/);
  });
});

interface BudgetRead {
  readonly components: readonly { readonly source: string; readonly u95_percent: number }[];
}

function percents({ components }: BudgetRead): Record<string, number> {
  return Object.fromEntries(components.map(({ source, u95_percent }) => [source, u95_percent]));
}

const oneReading = "time,level_mm\n2026-03-02T20:00:00Z,200\n";

/** Up by 0.5 mm/s, down by 7 mm/s: in a basin of 0.159 m² the pump moves 7.5 mm/s, which is 71.6 L/min or 18.9 gpm. */
function sawTooth(hours = 2, every_s = 1, contact = true): string {
  const rows = [contact ? "time_ms,level_mm,pump_on" : "time_ms,level_mm"];
  let level = 200;
  let pump = 0;
  for (let second = 0; second < 3600 * hours; second++) {
    level += pump === 1 ? -7 : 0.5;
    if (level >= 350) pump = 1;
    if (level <= 155) pump = 0;
    if (second % every_s !== 0) continue;
    rows.push(`${1_772_000_000_000 + 1000 * second},${level.toFixed(2)}${contact ? `,${pump}` : ""}`);
  }
  return `${rows.join("\n")}\n`;
}

function link(path: string): string {
  const other = join(folder, "other-name.csv");
  symlinkSync(path, other);
  onTestFinished(() => rmSync(other));
  return other;
}

/** The recording under the name that `report` has until it is whole, too. */
function recordingIsPartOf(report: string): string {
  const path = join(folder, "unfinished", report);
  mkdirSync(join(folder, "unfinished"));
  linkSync(recording, `${path}.partial`);
  onTestFinished(() => rmSync(join(folder, "unfinished"), { recursive: true }));
  return path;
}

async function analyze(text: string, ...options: string[]): Promise<void> {
  writeFileSync(recording, text);
  const program = new Command();
  register(program);
  await program.parseAsync(["analyze", recording, "--site", site, ...options], { from: "user" });
}

async function refusal(text: string, ...options: string[]): Promise<string[]> {
  await analyze(text, ...options);
  expect([out.mock.calls, process.exitCode]).toEqual([[], 2]);
  return problems.mock.calls.flat();
}
