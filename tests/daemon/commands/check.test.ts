import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { Command } from "commander";
import { afterAll, afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import { register } from "../../../daemon/commands/check.ts";
import { contractSite } from "../config/contract-site.ts";

const folder = mkdtempSync(join(tmpdir(), "undercroft-check-"));
const out = vi.spyOn(console, "log");
const problems = vi.spyOn(console, "error");

beforeEach(() => {
  for (const stream of [out, problems]) stream.mockReset().mockImplementation(() => undefined);
});
afterEach(() => {
  process.exitCode = undefined;
});
afterAll(() => rmSync(folder, { recursive: true }));

describe("undercroft check", () => {
  it("says what a site file means, ends with cautions, and with status 0", async () => {
    await check(written("site.yaml", contractSite));
    const said = out.mock.calls.flat().join("\n");
    expect(said).toMatch(/^\S+site\.yaml holds: Example house\n/);
    for (const heading of ["Basin", "Pump", "Discharge", "At work", "What can be said"]) {
      expect(said).toMatch(new RegExp(`^${heading}\n  \\S`, "m"));
    }
    expect(said).toMatch(/Cautions\n {2}Mains power beside water can kill/);
    expect(problems).not.toHaveBeenCalled();
    expect(process.exitCode).toBeUndefined();
  });

  it("puts each problem in a line of its own on standard error, nothing on standard output, and ends with status 2", async () => {
    await check(written("wrong.yaml", contractSite.replace("18 in", "18").replace("min_run", "minrun")));
    expect(problems.mock.calls.flat()).toEqual([
      expect.stringMatching(
        /wrong\.yaml:4: basin\.diameter: expected a length with its unit.*found the bare number 18$/,
      ),
      expect.stringMatching(/wrong\.yaml:17: pump\.minrun: unknown key; did you mean min_run\?$/),
    ]);
    expect(out).not.toHaveBeenCalled();
    expect(process.exitCode).toBe(2);
  });

  it("ends with status 2 when there is no such file", async () => {
    await check(join(folder, "none.yaml"));
    expect(problems.mock.calls.flat()).toEqual([expect.stringMatching(/found no such file$/)]);
    expect(process.exitCode).toBe(2);
  });
});

async function check(path: string): Promise<void> {
  const program = new Command();
  register(program);
  await program.parseAsync(["check", path], { from: "user" });
}

function written(name: string, content: string): string {
  const path = join(folder, name);
  writeFileSync(path, content);
  return path;
}
