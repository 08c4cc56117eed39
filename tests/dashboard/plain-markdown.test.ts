import { readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { findingKinds } from "../../analysis/findings/finding.ts";
import { plainMarkdown } from "../../dashboard/plain-markdown.ts";

const said = (text: string) => ({ text, code: false });

describe("plainMarkdown", () => {
  it("leaves the title out and gives headings, paragraphs and lists in their order", () => {
    expect(plainMarkdown("# Title\n\n## First\nA line.\n\nAnother.\n\n- one\n- two\n\n## Last\n- three\n")).toEqual([
      { kind: "heading", text: "First" },
      { kind: "paragraph", spans: [said("A line.")] },
      { kind: "paragraph", spans: [said("Another.")] },
      { kind: "list", items: [[said("one")], [said("two")]] },
      { kind: "heading", text: "Last" },
      { kind: "list", items: [[said("three")]] },
    ]);
  });

  it("sets code apart, and keeps a link's words without its place", () => {
    expect(plainMarkdown("See `start_level` and [wear](pump-worn.md).")).toEqual([
      { kind: "paragraph", spans: [said("See "), { text: "start_level", code: true }, said(" and wear.")] },
    ]);
  });

  it.each(findingKinds)("leaves no mark of Markdown in the explanation of %s", (kind) => {
    const text = readFileSync(join(import.meta.dirname, `../../analysis/findings/${kind}.md`), "utf8");
    const blocks = plainMarkdown(text);
    expect(blocks.filter((block) => block.kind === "heading")).toHaveLength(5);
    const words = blocks.flatMap((block) => {
      if (block.kind === "heading") return [block.text];
      const spans = block.kind === "list" ? block.items.flat() : block.spans;
      return spans.map((span) => span.text);
    });
    for (const word of words) expect(word).not.toMatch(/[`#*]|\]\(/);
  });
});
