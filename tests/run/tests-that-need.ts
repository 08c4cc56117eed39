// Finds the test files that drive a program of the machine: those that name it, or import a file that does.

import { existsSync, readdirSync, readFileSync } from "node:fs";
import { dirname, join, relative, resolve } from "node:path";

const names: Readonly<Record<string, RegExp>> = {
  mosquitto: /mosquitto/,
  chromium: /chromium|playwright/,
  influxdb: /influxd\b/,
};

/** @returns paths of test files, relative to the project's root */
export function testsThatNeed(program: string, root: string): string[] {
  const tests = readdirSync(join(root, "tests"), { recursive: true, encoding: "utf8" });
  return tests
    .filter((file) => file.endsWith(".test.ts"))
    .map((file) => join(root, "tests", file))
    .filter((file) => needs(file, names[program] ?? new RegExp(RegExp.escape(program)), new Set()))
    .map((file) => relative(root, file))
    .filter((file) => !file.startsWith("tests/run"))
    .sort();
}

/** Follows imports as long as they stay in `tests/`: what the product's own code names is not what a test drives. */
function needs(file: string, name: RegExp, seen: Set<string>): boolean {
  if (seen.has(file) || !/[\\/]tests[\\/]/.test(file) || !existsSync(file)) return false;
  seen.add(file);
  const text = readFileSync(file, "utf8");
  if (name.test(text)) return true;
  const imports = [...text.matchAll(/from "(\.[^"]+\.ts)"/g)].map(([, path = ""]) => resolve(dirname(file), path));
  return imports.some((path) => needs(path, name, seen));
}
