// The example of the README is one that the program takes.

import { readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { parse } from "yaml";
import { sourceKinds } from "../../daemon/sources/index.ts";
import { parseCandidates } from "../../daemon/whatif-candidates.ts";

const readme = readFileSync(join(import.meta.dirname, "../../README.md"), "utf8");
const blocks = [...readme.matchAll(/```yaml\n(.*?)```/gs)].map(([, text = ""]) => text);
const siteFile = blocks.find((text) => text.includes("Example house")) ?? "";
const candidates = blocks.find((text) => text.startsWith("candidates:")) ?? "";

describe("the README's candidates", () => {
  it("hold against the README's site file, those in comments too", () => {
    for (const text of [candidates, candidates.replaceAll(/^ {4}# /gm, "    ")]) {
      const parsed = parseCandidates(text, "README.md", parse(siteFile), "site.yaml", sourceKinds);
      expect(parsed.ok ? [] : parsed.problems).toEqual([]);
    }
  });

  it("are those of the table beneath them", () => {
    for (const { name } of parse(candidates).candidates) expect(readme).toMatch(new RegExp(`\n   ${name} +1`));
  });
});
