// Takes apart the little Markdown that the explanations are written in: sections of paragraphs and lists, and `code`. The
// title and the places that links lead to are left out.

export interface Section {
  readonly heading: string;
  readonly blocks: readonly Block[];
}

export type Block =
  | { readonly kind: "paragraph"; readonly spans: readonly Span[] }
  | { readonly kind: "list"; readonly items: readonly (readonly Span[])[] };

export interface Span {
  readonly text: string;
  readonly code: boolean;
}

export function plainMarkdown(text: string): Section[] {
  const [, ...sections] = text.split(/^## /m);
  return sections.map((section) => {
    const [heading = "", ...lines] = section.split("\n");
    return { heading, blocks: blocksOf(lines) };
  });
}

function blocksOf(lines: readonly string[]): Block[] {
  const blocks: Block[] = [];
  let items: (readonly Span[])[] = [];
  const endList = () => {
    if (items.length > 0) blocks.push({ kind: "list", items });
    items = [];
  };
  for (const line of lines) {
    if (line.startsWith("- ")) {
      items.push(spans(line.slice(2)));
      continue;
    }
    endList();
    if (line !== "") blocks.push({ kind: "paragraph", spans: spans(line) });
  }
  endList();
  return blocks;
}

function spans(line: string): Span[] {
  const unlinked = line.replace(/\[([^\]]+)\]\([^)]+\)/g, "$1");
  return unlinked.split("`").flatMap((text, i) => (text === "" ? [] : [{ text, code: i % 2 === 1 }]));
}
