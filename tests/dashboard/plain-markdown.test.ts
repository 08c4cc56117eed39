import { readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { findingKinds } from "../../analysis/findings/finding.ts";
import { plainMarkdown } from "../../dashboard/plain-markdown.ts";

const said = (text: string) => ({ text, code: false });

describe("plainMarkdown", () => {
  it("leaves the title out and gives sections of paragraphs and lists in their order", () => {
    expect(plainMarkdown("# Title\n\n## First\nA line.\n\nAnother.\n\n- one\n- two\n\n## Last\n- three\n")).toEqual([
      {
        heading: "First",
        blocks: [
          { kind: "paragraph", spans: [said("A line.")] },
          { kind: "paragraph", spans: [said("Another.")] },
          { kind: "list", items: [[said("one")], [said("two")]] },
        ],
      },
      { heading: "Last", blocks: [{ kind: "list", items: [[said("three")]] }] },
    ]);
  });

  it("sets code apart, and keeps a link's words without its place", () => {
    expect(plainMarkdown("## Rule\nSee `start_level` and [wear](pump-worn.md).")[0]?.blocks).toEqual([
      { kind: "paragraph", spans: [said("See "), { text: "start_level", code: true }, said(" and wear.")] },
    ]);
  });

  it.each(findingKinds)("leaves no mark of Markdown in the explanation of %s", (kind) => {
    const text = readFileSync(join(import.meta.dirname, `../../analysis/findings/${kind}.md`), "utf8");
    const sections = plainMarkdown(text);
    expect(sections).toHaveLength(5);
    const spans = sections.flatMap(({ blocks }) =>
      blocks.flatMap((block) => (block.kind === "list" ? block.items.flat() : block.spans)),
    );
    expect(spans.length).toBeGreaterThan(10);
    for (const span of spans) expect(span.text).not.toMatch(/[`#*]|\]\(/);
  });
});
