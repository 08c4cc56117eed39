import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { Command } from "commander";
import { afterAll, afterEach, beforeEach, describe, expect, it, onTestFinished, vi } from "vitest";
import type { WhatIfAnswer } from "../../../analysis/whatif/whatif-answer.ts";
import { register } from "../../../daemon/commands/whatif.ts";
import { contractSite } from "../config/contract-site.ts";

const folder = mkdtempSync(join(tmpdir(), "undercroft-whatif-"));
const site = join(folder, "site.yaml");
const recording = join(folder, "week.csv");
const candidates = join(folder, "candidates.yaml");
const json = join(folder, "answer.json");
/** The pump moves 7.5 mm/s in a basin of 0.1592 m²: 71.6 L/min; what comes in raises it by 0.5 mm/s: 4.77 L/min. */
const area_m2 = (Math.PI / 4) * 0.4572 ** 2 - 0.005;
const start_s = 1_772_000_000;
const hours = 3;

const out = vi.spyOn(console, "log");
const problems = vi.spyOn(console, "error");
beforeEach(() => {
  for (const stream of [out, problems]) stream.mockReset().mockImplementation(() => undefined);
  writeFileSync(site, contractSite);
  writeFileSync(recording, sawTooth());
});
afterEach(() => {
  process.exitCode = undefined;
});
afterAll(() => rmSync(folder, { recursive: true }));

describe("undercroft whatif", () => {
  it("puts the installation as it is first, beside what really happened", async () => {
    const answer = await answered();
    expect(answer.rows.map(({ name }) => name)).toEqual(["as it is"]);
    expect(Math.abs((answer.trust.replayed?.starts ?? 0) - answer.trust.recorded.starts)).toBeLessThanOrEqual(1);
    expect(answer.trust.recorded.highest_level_mm).toBeCloseTo(355.5, -0.5);
    expect(answer.trust.replayed?.highest_level_mm).toBeCloseTo(355.5, -0.5);
    expect(answer.trust.message).toContain("agrees with the record");
    expect(answer.rows[0]?.assumptions[0]).toBe("the pump moves what it was measured to move");
  });

  it("counts twice the starts with half the drawdown", async () => {
    const answer = await answered("--start-level", "10 in");
    const [asItIs, asked] = answer.rows.map(({ figures }) => figures?.starts.value ?? 0);
    expect(answer.rows[1]?.name).toBe("as asked");
    expect((asked ?? 0) / (asItIs ?? 1)).toBeCloseTo(2, 0.7);
  });

  it("finds how high the water gets in a power cut at its worst moment", async () => {
    // as the float closes: 14 in and 0.5 mm/s for 10 minutes
    const answer = await answered("--power-cut", "10 min");
    const [, cut] = answer.rows;
    expect(cut?.name).toBe("as it is, with the power cut");
    expect(cut?.figures?.highest_level_mm.value).toBeCloseTo(355.5 + 300, -0.7);
    expect(cut?.figures?.above_high_s).toBeGreaterThan(290);
    expect(cut?.figures?.power_cut_s).toBe(600);
  });

  it("says when the water reaches the rim, and how much runs over", async () => {
    // 762 − 355.5 mm of room at 0.5 mm/s: 813 s
    const answer = await answered("--power-cut", "20 min", "--power-cut-at", iso(start_s + 3600));
    const figures = answer.rows[1]?.figures;
    const cut_s = start_s + 3600;
    expect(figures?.power_cuts).toEqual([{ from: iso(cut_s), to: iso(cut_s + 1200) }]);
    const rise_s = 1200 - (Date.parse(figures?.overflow_from ?? "") / 1000 - cut_s);
    expect(figures?.overflow_l.value).toBeCloseTo(area_m2 * 0.5 * rise_s, -0.3);
    expect(figures?.overflow_s).toBeGreaterThan(rise_s - 1);
  });

  it("sets the candidates of a file side by side, in words", async () => {
    writeFileSync(
      candidates,
      `candidates:
  - name: stronger pump
    pump: { curve: [[0 gpm, 30 ft], [30 gpm, 26 ft], [75 gpm, 5 ft]] }
  - name: battery
    backup: { capacity: 40 Ah, pump_power: 400 W }
    power_cut: { lasts: 30 min }
  - name: pump that cannot
    pump: { curve: [[0 gpm, 9 ft], [30 gpm, 2 ft]] }
`,
    );
    await whatif("--candidates", candidates);
    const lines = out.mock.calls.flat().join("\n");
    expect(lines).toMatch(/highest water +starts +most in 1 h +ran +over high water +ran over/);
    expect(lines).toMatch(/ {3}stronger pump +14[\d.]* in /);
    expect(lines).toMatch(/ {3}battery +14[\d.]* in/);
    const said = lines.replaceAll(/\s+/g, " ");
    expect(said).toContain("the battery holds: the pump runs");
    expect(said).toContain("the pump's shut-off head, 9 ft (2.74 m), is no more than the static head, 9.52 ft (2.9 m)");
    // First of all that is said of it, not last.
    expect(said).toMatch(/pump that cannot With the water at \S+ in the pump's shut-off head, 9 ft .*: it cannot lift/);
    expect(said).not.toMatch(/Taken for granted: [^.]*shut-off/);
    expect(said).toContain("local codes and licensed practice decide");
  });

  it("has no range in the table, and one line of them under it where they show", async () => {
    // Without noise all is known but for what is stated.
    writeFileSync(site, `${contractSite}\nmeasurement: { geometry: 3 % }\n`);
    await whatif("--power-cut", "20 min");
    const lines = out.mock.calls.flat().join("\n");
    expect(lines).toMatch(/water runs over from .* on, for \d+ min( \d+ s)? in all/);
    const [table = ""] = /Side by side\n(?: {2}.*\n)+/.exec(lines) ?? [];
    expect(table).not.toMatch(/\d to \d/);
    expect(lines).toMatch(/in 95 of 100 cases: (starts|highest water|ran over) [\d.]+ to [\d.]+/);
  });

  it("asks for what a candidate lacks, and plays the others", async () => {
    writeFileSync(candidates, "candidates:\n  - name: other pump\n    pump: { min_run: 8 s }\n");
    const answer = await answered("--candidates", candidates);
    expect(answer.rows[0]?.figures).not.toBeNull();
    expect(answer.rows[1]?.figures).toBeNull();
    expect(answer.rows[1]?.missing).toEqual(["pump.curve: expected points of flow and head, found nothing"]);
  });

  it("says that a power cut lies outside the recording", async () => {
    const answer = await answered("--power-cut", "1 h", "--power-cut-at", "2026-03-04T06:10:00Z");
    expect(answer.rows[1]?.missing.join()).toContain(
      "power_cut.at: expected a time in what is replayed, 2026-02-25T06:13",
    );
  });

  it("says of a gap what became of it", async () => {
    writeFileSync(
      recording,
      sawTooth((second) => second > 4000 && second < 5800),
    );
    const left = await answered();
    expect(left.inflow.gaps).toMatchObject({ count: 1, choice: "leave-out" });
    expect(left.notes[0]).toMatch(/^The inflow is not known in 1 gap \(.* in all\); that time was left out/);
    const bridged = await answered("--gaps", "bridge");
    expect(bridged.inflow.played_s).toBeGreaterThan(left.inflow.played_s + 1700);
    expect(bridged.notes[0]).toContain("straight from what came before to what came after");
  });

  it.each([
    [["--start-level", "30"], ["--start-level: expected a length with its unit"]],
    [["--start-level", "3 in"], ["basin.stop_level: expected less than start_level"]],
    [["--power-cut-at", "2026-02-25T07:00:00Z"], ["--power-cut-at: expected --power-cut beside it, found none"]],
    [["--power-cut", "4 h", "--power-cut-at", "noon"], ["--power-cut-at: expected worst, or a time such as"]],
    [["--candidates", join(folder, "none.yaml")], ["none.yaml: expected a file of candidates, found no such file"]],
    [["--candidates", candidates, "--json", candidates], ["--json: expected a file of its own"]],
    [["--rain", recording], [`${recording}: expected a column rain_mm or rain_in, found none`]],
    [["--rain-map", "rain_in=precip"], ["--rain-map: expected --rain beside it, found none"]],
    [["--storm"], ["--storm: expected design.storm in the site file, found nothing"]],
  ])("refuses %j in one line", async (options, expected) => {
    writeFileSync(candidates, "candidates: [{ name: a }]\n");
    await whatif(...options);
    expect([out.mock.calls, process.exitCode]).toEqual([[], 2]);
    const said = problems.mock.calls.flat();
    expect(said).toHaveLength(expected.length);
    expected.forEach((text, i) => {
      expect(said[i]).toContain(text);
    });
  });

  it("says why the design storm cannot be replayed without rain", async () => {
    writeFileSync(site, `${contractSite}  storm: { depth: 4 in, duration: 24 h, distribution: nrcs-type-2 }\n`);
    onTestFinished(() => writeFileSync(site, contractSite));
    await whatif("--storm", "after");
    expect(problems.mock.calls.flat().join()).toContain("--storm: the inflow of the design storm is not known: ");
  });
});

function iso(time_s: number): string {
  return new Date(time_s * 1000).toISOString();
}

function sawTooth(isMissing: (second: number) => boolean = () => false): string {
  const rows = ["time_ms,level_mm,pump_on"];
  let level = 200;
  let pump = 0;
  for (let second = 0; second < hours * 3600; second++) {
    level += pump === 1 ? -7 : 0.5;
    if (level >= 355.6) pump = 1;
    if (level <= 152.4) pump = 0;
    if (!isMissing(second)) rows.push(`${(start_s + second) * 1000},${level.toFixed(2)},${pump}`);
  }
  return `${rows.join("\n")}\n`;
}

async function whatif(...options: string[]): Promise<void> {
  const program = new Command();
  register(program);
  await program.parseAsync(["whatif", recording, "--site", site, ...options], { from: "user" });
}

async function answered(...options: string[]): Promise<WhatIfAnswer> {
  await whatif("--json", json, ...options);
  expect(problems.mock.calls).toEqual([[`wrote ${json}`]]);
  problems.mockClear();
  return JSON.parse(readFileSync(json, "utf8"));
}
