// Takes apart the little Markdown that the explanations are written in: headings of the second degree, paragraphs, lists
// and `code`. The title and the places that links lead to are left out.

export type Block =
  | { readonly kind: "heading"; readonly text: string }
  | { readonly kind: "paragraph"; readonly spans: readonly Span[] }
  | { readonly kind: "list"; readonly items: readonly (readonly Span[])[] };

export interface Span {
  readonly text: string;
  readonly code: boolean;
}

export function plainMarkdown(text: string): Block[] {
  const blocks: Block[] = [];
  let items: (readonly Span[])[] = [];
  for (const line of text.split("\n")) {
    const [, item] = /^- (.+)$/.exec(line) ?? [];
    if (item !== undefined) {
      items.push(spans(item));
      continue;
    }
    if (items.length > 0) blocks.push({ kind: "list", items });
    items = [];
    const [, heading] = /^## (.+)$/.exec(line) ?? [];
    if (heading !== undefined) blocks.push({ kind: "heading", text: heading });
    else if (line !== "" && !line.startsWith("# ")) blocks.push({ kind: "paragraph", spans: spans(line) });
  }
  if (items.length > 0) blocks.push({ kind: "list", items });
  return blocks;
}

function spans(line: string): Span[] {
  const unlinked = line.replace(/\[([^\]]+)\]\([^)]+\)/g, "$1");
  return unlinked.split("`").flatMap((text, i) => (text === "" ? [] : [{ text, code: i % 2 === 1 }]));
}
