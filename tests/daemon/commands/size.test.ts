import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { Command } from "commander";
import { afterAll, afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import { sizingSchema } from "../../../analysis/sizing/sizing-answer.ts";
import { register } from "../../../daemon/commands/size.ts";
import { contractSite } from "../config/contract-site.ts";

const folder = mkdtempSync(join(tmpdir(), "undercroft-size-"));
const site = join(folder, "site.yaml");
const recording = join(folder, "week.csv");
const answer = join(folder, "answer.json");
writeFileSync(site, contractSite);
writeFileSync(recording, anHourOfRain());
const out = vi.spyOn(console, "log");
const problems = vi.spyOn(console, "error");

beforeEach(() => {
  for (const stream of [out, problems]) stream.mockReset().mockImplementation(() => undefined);
});
afterEach(() => {
  process.exitCode = undefined;
  rmSync(answer, { force: true });
});
afterAll(() => rmSync(folder, { recursive: true }));

describe("undercroft size", () => {
  it("says in words, from a rise watched by hand, what to ask a supplier for, with the cautions", async () => {
    await run("--rise", "8 in in 60 s", "--rise", "8.1 in in 60 s", "--rise", "7.9 in in 1 min");
    // 8 in of 1.0678 gal (18 in less 50 cm²): 8.54 gpm, half again 12.8 gpm.
    const text = words();
    expect(text).toContain("Adequate: It moves 35.2 gpm, and 12.8 gpm is required: enough, if the rise was watched in");
    // 8.54 gal between the floats: 8.54/8.54 + 8.54/27.5 = 1.311 min, 45.8 an hour.
    expect(text).toMatch(/It starts too often: 46 times an hour at the measured peak, 20 are allowed\./);
    expect(text).toContain(
      "Ask for a pump rated at least 13 gpm at 11 ft; at least 14 gpm at 11 ft covers the whole range.",
    );
    expect(text).toMatch(/any pump that moves more than 11\.4 gpm may start too often, and more than that is required/);
    expect(text).toContain("total dynamic head");
    expect(text).toMatch(/Dry hands/);
    expect(process.exitCode).toBeUndefined();
  });

  it("speaks metric where the site does", async () => {
    const metric = join(folder, "metric.yaml");
    writeFileSync(metric, contractSite.replace("display_units: us", "display_units: metric"));
    await sizeOf(metric, "--rise", "20 cm in 60 s");
    expect(words()).toMatch(/at least \d+ L\/min at \d+(\.5)? m/);
    expect(words()).not.toMatch(/gpm|centimetre|\d cm/);
    expect(words()).toContain("with the start level 25 mm higher");
  });

  it("has a head that adds up from its own lines, and the same by Hazen and Williams beside it", async () => {
    await run("--rise", "8 in in 60 s");
    const text = out.mock.calls.flat().join("\n");
    const [table = ""] = /lift from[\s\S]*?total dynamic head.*/.exec(text) ?? [];
    const heads = [...table.matchAll(/(\d+\.\d{3}) ft$/gm)].map(([, head]) => Number(head));
    const [, total = ""] = /total dynamic head +(\d+\.\d\d) +ft ±/.exec(table) ?? [];
    expect(heads).toHaveLength(5);
    expect(heads.reduce((sum, head) => sum + head, 0).toFixed(2)).toBe(total);
    // Each line again from its own figures, to the last digit that it shows.
    const [, f, l, d, head] = /f (\S+) × (\S+) ft ÷ (\S+) ft × (\S+) ft/.exec(table)?.map(Number) ?? [];
    expect((((f ?? 0) * (l ?? 0)) / (d ?? 1)) * (head ?? 0)).toBeCloseTo(heads[1] ?? Number.NaN, 3);
    // By hand: 4.727 · 150^-1.852 · (1.61/12)^-4.871 · 22 · (12.81 gpm / 448.831)^1.852 = 0.236 ft, and 6.2 · 0.0634.
    expect(text).toMatch(/friction in all 0\.67 ft; by Hazen–Williams with C 150 instead: 0\.63 ft/);
  });

  it("has no more digits than are known, and no time in decimal minutes where a person reads it", async () => {
    await run("--rise", "8 in in 60 s", "--rise", "8.25 in in 60 s", "--rise", "7-7/8 in in 60 s");
    const text = words();
    expect(text).not.toMatch(/± 0\.?0* /);
    expect(text).toContain("a rise of 7.875 in is");
    expect(text).toContain("water reaches the floor in 1 min 59 s, less than it takes");
    expect(text).toMatch(/over the measured peak: \S+ gpm ÷ \S+ gpm/);
  });

  it("writes the answer as JSON, and says on standard error where", async () => {
    await run("--rise", "8 in in 60 s", "--json", answer);
    expect(JSON.parse(readFileSync(answer, "utf8"))).toMatchObject({
      schema: sizingSchema,
      site: { name: "Example house", display_units: "us" },
      pump: { verdict: "adequate" },
      head: { static_m: expect.closeTo(2.8956, 6) },
    });
    expect(out).not.toHaveBeenCalled();
    expect(problems.mock.calls).toEqual([[`wrote ${answer}`]]);
    expect(readdirSync(folder)).not.toContain("answer.json.partial");
  });

  it("works off a recording, with the rain in it", async () => {
    await run("--recording", recording, "--json", answer);
    const { measured, storms, seen, required, pump } = JSON.parse(readFileSync(answer, "utf8"));
    // 6 L/min came in all the time.
    expect(measured).toMatchObject({ by: "logged", hand: null });
    expect(Math.abs(measured.mean.lpm / 6 - 1)).toBeLessThan(0.02);
    expect(required.flow.lpm).toBeCloseTo(1.5 * measured.peak["600"].lpm, 3);
    expect(storms).toEqual([]);
    expect(seen).toMatchObject({ enough: false });
    expect(pump.verdict).toBe("not-enough-data");
    await run("--recording", recording);
    expect(words()).toContain("By what has been seen so far, ask for a pump rated");
  });

  it("takes the rain of another file in place of the recording's", async () => {
    const rain = join(folder, "rain.csv");
    writeFileSync(rain, `time,rain_mm\n${rows((i) => (i % 300 === 0 ? `${stamp(i)},0.1` : null))}`);
    await run("--recording", recording, "--rain", rain, "--json", answer);
    expect(process.exitCode).toBeUndefined();
    writeFileSync(rain, "time,level_mm\n2026-03-02T00:00:00Z,200\n");
    expect(await refusal("--recording", recording, "--rain", rain)).toEqual([
      `${rain}: expected a column rain_mm or rain_in, found none`,
    ]);
    process.exitCode = undefined;
    writeFileSync(rain, `when,precip\n${rows((i) => (i % 300 === 0 ? `${stamp(i)},0.004` : null))}`);
    await run("--recording", recording, "--rain", rain, "--rain-map", "time=when,rain_in=precip", "--json", answer);
    expect(process.exitCode).toBeUndefined();
  });

  it.each([
    [["--rise", "20 in"], '--rise: expected a rise and its time, such as 20 in in 60 s, found "20 in"'],
    [["--rise", "0 in in 60 s"], "--rise: expected a rise above 0, found 0"],
    [
      ["--rise", "8 gal in 60 s"],
      '--rise: expected a length with its unit, such as 18 in (units: mm, cm, m, in, ft), found "8 gal", which is a volume',
    ],
    [
      ["--rise", "40 in in 60 s"],
      "--rise: expected a rise that ends in the basin, found 40 in from 6 in (the stop level), which ends at 46 in: water reaches the floor at 30 in (basin.overflow_level)",
    ],
    [
      ["--rise", "8 in in 60 s from 23 in"],
      "--rise: expected a rise that ends in the basin, found 8 in from 23 in (as given), which ends at 31 in: water reaches the floor at 30 in (basin.overflow_level)",
    ],
    [["--rise", "8 in in 60 s", "--ruler", "0 in"], "--ruler: expected more than 0, found 0 in"],
    [["--ruler", "1/8 in"], "--ruler, --watch and --within: expected --rise beside them, found none"],
    [["--rain-map", "time=when"], "--rain-map: expected --rain beside it, found none"],
    [["--rain", "rain.csv"], "--rain: expected --recording beside it, found none"],
    [["--timezone", "Mars"], '--timezone: expected a time zone such as America/Toronto, found "Mars"'],
  ])("refuses %j in one line", async (given, problem) => {
    expect(await refusal(...given)).toEqual([problem]);
  });

  it("refuses a --json that names the site file, the recording or a folder, and leaves them as they were", async () => {
    expect((await refusal("--json", site))[0]).toContain("overwrites the site file");
    expect((await refusal("--recording", recording, "--json", recording))[0]).toContain("overwrites the recording");
    expect(await refusal("--json", folder)).toEqual([
      `--json: expected a file that can be written, found a folder: ${folder}`,
    ]);
    expect(readFileSync(site, "utf8")).toBe(contractSite);
  });

  it("says of the sample site what the README shows", async () => {
    const root = join(import.meta.dirname, "../../..");
    const readme = readFileSync(join(root, "README.md"), "utf8");
    const [command = ""] = /size --site site.yaml --rise .*/.exec(readme) ?? [];
    const rises = [...command.matchAll(/--rise "([^"]+)"/g)].flatMap(([, rise]) => ["--rise", rise ?? ""]);
    expect(rises).toHaveLength(6);
    await sizeOf(join(root, "deploy/sites/us-round-basin.yaml"), ...rises);
    const [shown = ""] = /In short\n(?: {2}.*\n)+/.exec(readme) ?? [];
    expect(out.mock.calls.flat().join("\n")).toContain(shown);
  });

  it("asks for what is missing where only a basin is known", async () => {
    const bare = join(folder, "bare.yaml");
    writeFileSync(bare, "basin: { shape: round, diameter: 45 cm }\n");
    await sizeOf(bare);
    expect(words()).toContain("how much comes in (--recording, or --rise): it tells everything that follows from it");
    expect(process.exitCode).toBeUndefined();
  });
});

function words(): string {
  return out.mock.calls.flat().join("\n").replaceAll(/\n\s+/g, " ");
}

async function run(...more: string[]): Promise<void> {
  await sizeOf(site, ...more);
}

async function sizeOf(path: string, ...more: string[]): Promise<void> {
  const program = new Command().exitOverride();
  register(program);
  await program.parseAsync(["size", "--site", path, ...more], { from: "user" });
}

async function refusal(...more: string[]): Promise<string[]> {
  problems.mockClear();
  await run(...more);
  expect(process.exitCode).toBe(2);
  expect(out).not.toHaveBeenCalled();
  return problems.mock.calls.map(([line]) => String(line));
}

function stamp(second: number): string {
  return new Date(Date.UTC(2026, 2, 2) + second * 1000).toISOString();
}

function rows(row: (second: number) => string | null): string {
  return `${Array.from({ length: 7200 }, (_, i) => row(i))
    .filter((line) => line !== null)
    .join("\n")}\n`;
}

/** Two hours of 6 L/min into the contract's basin, pumped at 120 L/min between its floats. */
function anHourOfRain(): string {
  const area_m2 = (Math.PI / 4) * 0.4572 ** 2 - 0.005;
  let [level_m, on] = [0.2, false];
  const lines = rows((i) => {
    if (level_m >= 0.3556) on = true;
    if (level_m <= 0.1524) on = false;
    level_m += (6 - (on ? 120 : 0)) / 60_000 / area_m2;
    return `${stamp(i)},${(level_m * 1000).toFixed(1)},${on ? 1 : 0},${i % 600 === 0 ? 0 : ""}`;
  });
  return `time,level_mm,pump_on,rain_mm\n${lines}`;
}
