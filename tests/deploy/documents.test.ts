import { existsSync, globSync, readFileSync } from "node:fs";
import { join, resolve } from "node:path";
import { describe, expect, it } from "vitest";

const root = resolve(import.meta.dirname, "../..");
const read = (path: string) => readFileSync(join(root, path), "utf8");

describe("the documents", () => {
  it.each(["README.md", "DEVELOPERS.md", "analysis/README.md"])("%s names only files that are there", (document) => {
    const named = [...read(document).matchAll(/`([\w/-]+\.(?:ts|tsx|js|md|yaml|service))`/g)].map(
      ([, path = ""]) => path,
    );
    const isThere = (path: string) =>
      existsSync(join(root, path)) ||
      globSync(`{analysis,daemon,dashboard,tests}/**/${path}`, { cwd: root }).length > 0;
    const ours = named.filter((path) => path !== "site.yaml");
    expect(ours.filter((path) => !isThere(path))).toEqual([]);
  });

  it("DEVELOPERS.md says what the page imports of the daemon", () => {
    const code = globSync("dashboard/**/*.{ts,tsx}", { cwd: root, exclude: (path) => path.includes("dist") }).map(read);
    const imported = code.flatMap((text) =>
      [...text.matchAll(/from "[./]+\/(daemon\/[^"]+)"/g)].map(([, path = ""]) => path),
    );
    const row =
      read("DEVELOPERS.md")
        .split("\n")
        .find((line) => line.startsWith("| `dashboard/`")) ?? "";
    expect([...new Set(imported)].filter((path) => !row.includes(`\`${path}\``))).toEqual([]);
  });

  it("README.md quotes the page's own words for what is wrong", () => {
    const page = globSync("dashboard/**/*.{ts,tsx}", { cwd: root, exclude: (path) => path.includes("dist") })
      .map(read)
      .join("\n");
    const row =
      read("README.md")
        .split("\n")
        .find((line) => line.startsWith("| the page says")) ?? "";
    const quotes = [...row.matchAll(/\*([^*]+?)(?: …)?\*/g)].map(([, words = ""]) => words);
    expect(quotes).toHaveLength(3);
    expect(quotes.filter((words) => !page.includes(words))).toEqual([]);
  });
});
