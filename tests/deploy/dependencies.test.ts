import { globSync, readFileSync } from "node:fs";
import { join, resolve } from "node:path";
import { describe, expect, it } from "vitest";
import packageFile from "../../package.json" with { type: "json" };

const root = resolve(import.meta.dirname, "../..");

describe("the dependencies", () => {
  it("that the program ships with are all imported by it", () => {
    const code = globSync("daemon/**/*.ts", { cwd: root }).map((file) => readFileSync(join(root, file), "utf8"));
    const imported = (name: string) =>
      code.some((text) => text.includes(`from "${name}"`) || text.includes(`import("${name}")`));
    expect(Object.keys(packageFile.dependencies).filter((name) => !imported(name))).toEqual([]);
  });

  it("are each given their reason in DEVELOPERS.md, and no other is", () => {
    const table = readFileSync(join(root, "DEVELOPERS.md"), "utf8").split("## Dependencies, and why")[1] ?? "";
    const rows = table.split("\n").filter((line) => line.startsWith("| `"));
    const named = rows.flatMap((row) => [...(row.split("|")[1] ?? "").matchAll(/`([^`]+)`/g)].map(([, name]) => name));
    const { dependencies, optionalDependencies, devDependencies } = packageFile;
    const all = Object.keys({ ...dependencies, ...optionalDependencies, ...devDependencies });
    const isRuntime = (name: string) => /^node-(bin-)?(linux|darwin)-/.test(name);
    expect(named.filter((name) => !isRuntime(name ?? "")).sort()).toEqual(
      all.filter((name) => !isRuntime(name)).sort(),
    );
  });
});
