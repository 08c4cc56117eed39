import { globSync, readFileSync } from "node:fs";
import { expect, it } from "vitest";

const root = new URL("../../", import.meta.url).pathname;
const read = (pattern: string) => globSync(pattern, { cwd: root }).map((file) => readFileSync(root + file, "utf8"));

it("no rule of the page falls upon the printed report, which stands within it and has rules of its own", () => {
  const onPaper = new Set(
    read("analysis/paper/**/*.ts")
      .flatMap((text) => [...text.matchAll(/class="([a-z -]+)/g)].map(([, names = ""]) => names))
      .flatMap((names) => names.split(" ")),
  );
  const selectors = read("dashboard/styles/*.css")
    .flatMap((text) =>
      [...text.replaceAll(/\/\*.*?\*\/|\([^)]*\)/gs, "").matchAll(/([^{}]+)\{/g)].map(([, list = ""]) => list),
    )
    .flatMap((list) => list.split(","));
  // A rule of one class, or of a class with nothing above it, falls upon every element that has it.
  const alone = selectors.flatMap((selector) => /^\.([a-z-]+)(?![a-z-])[^ >]*$/.exec(selector.trim())?.[1] ?? []);
  expect(onPaper.size).toBeGreaterThan(10);
  expect(alone.length).toBeGreaterThan(100);
  expect([...new Set(alone)].filter((name) => onPaper.has(name))).toEqual([]);
});
