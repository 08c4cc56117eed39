// What `npm test` runs: type check, lint, the page's build, the programs that the `real` tests drive, every test.
// Closes with one line, `312 passed, 0 failed, 0 skipped`, and ends with status 1 unless all of it went well.

import { spawnSync } from "node:child_process";
import { existsSync, mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import { missingPrograms } from "./run/programs.ts";
import { type Tally, tally } from "./run/tally.ts";
import { testsThatNeed } from "./run/tests-that-need.ts";

const root = resolve(import.meta.dirname, "..");
const bin = join(root, "node_modules", ".bin");
// The pinned Node and the tools beside it, whoever started this.
const env = { ...process.env, PATH: `${bin}:${process.env.PATH ?? ""}` };

const steps: readonly (readonly [name: string, program: string, ...args: string[]])[] = [
  ["type check", "tsc", "--noEmit"],
  ["lint", "biome", "check", "--error-on-warnings", "."],
  ...(existsSync(join(root, "dashboard", "build.ts"))
    ? [["page", process.execPath, "dashboard/build.ts", "--if-stale"] as const]
    : []),
];

const failedSteps = steps.filter(([name, program, ...args]) => {
  console.log(`${name}: ${[program, ...args].join(" ")}`);
  return run(program, args) !== 0;
});

const leftOut = whatIsLeftOut();
const counted = runTests(leftOut.files);
const total: Tally = {
  passed: counted.passed,
  failed: counted.failed + failedSteps.length + leftOut.failures,
  skipped: counted.skipped + leftOut.files.length,
};
for (const [name] of failedSteps) console.log(`failed: ${name} (see above)`);
const mayNotSkip = isCi() && total.skipped > 0;
if (mayNotSkip) console.log("failed: under CI=true nothing may be skipped or left out");
if (total.passed === 0) console.log("failed: no test ran");
console.log(`${total.passed} passed, ${total.failed} failed, ${total.skipped} skipped`);
process.exitCode = total.failed > 0 || total.passed === 0 || mayNotSkip ? 1 : 0;

function isCi(): boolean {
  return process.env.CI === "true" || process.env.CI === "1";
}

function run(program: string, args: readonly string[], more: NodeJS.ProcessEnv = {}): number {
  const { status, error } = spawnSync(program, args, {
    cwd: root,
    env: { ...env, ...more },
    stdio: ["ignore", "inherit", "inherit"],
  });
  if (error !== undefined) console.log(`${program}: ${error.message}`);
  return status ?? 1;
}

/** The test files whose program is neither there nor to be had, each said with its reason. */
function whatIsLeftOut(): { readonly files: readonly string[]; readonly failures: number } {
  const missing = missingPrograms();
  const files = missing.flatMap(({ name, reason }) => {
    const needing = testsThatNeed(name, root);
    for (const file of needing) console.log(`left out: ${file}, because ${name} is not here: ${reason}`);
    return needing;
  });
  return { files: [...new Set(files)], failures: isCi() ? missing.length : 0 };
}

function runTests(excluded: readonly string[]): Tally {
  const folder = mkdtempSync(join(tmpdir(), "undercroft-tests-"));
  const results = join(folder, "results.json");
  try {
    const status = run("vitest", ["run", "--reporter=default", "--reporter=json", `--outputFile.json=${results}`], {
      LEFT_OUT: excluded.join(" "),
    });
    const counted = existsSync(results)
      ? tally(JSON.parse(readFileSync(results, "utf8")))
      : { passed: 0, failed: 0, skipped: 0 };
    if (status === 0 || counted.failed > 0) return counted;
    console.log(`failed: the test runner ended with status ${status} although no test failed (see above)`);
    return { ...counted, failed: 1 };
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}
