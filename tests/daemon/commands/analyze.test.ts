import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { Command } from "commander";
import { afterAll, afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import { register } from "../../../daemon/commands/analyze.ts";
import { contractSite } from "../config/contract-site.ts";

const folder = mkdtempSync(join(tmpdir(), "undercroft-analyze-"));
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
    expect(said).toMatch(/by its curve against this discharge: .* of head.*; measured, it moves \d+ % less/);
  });
});

const oneReading = "time,level_mm\n2026-03-02T20:00:00Z,200\n";

/** Up by 0.5 mm/s, down by 7 mm/s: in a basin of 0.159 m² the pump moves 7.5 mm/s, which is 71.6 L/min or 18.9 gpm. */
function sawTooth(): string {
  const rows = ["time_ms,level_mm,pump_on"];
  let level = 200;
  let pump = 0;
  for (let second = 0; second < 7200; second++) {
    level += pump === 1 ? -7 : 0.5;
    if (level >= 350) pump = 1;
    if (level <= 155) pump = 0;
    rows.push(`${1_772_000_000_000 + 1000 * second},${level.toFixed(2)},${pump}`);
  }
  return `${rows.join("\n")}\n`;
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
