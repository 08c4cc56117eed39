// What a kind of finding means and what to do about it, folded away until it is asked for.

import { useSignal } from "@preact/signals";
import type { FindingKind } from "../../analysis/findings/finding.ts";
import { explanation } from "../explanations.ts";
import type { Block, Span } from "../plain-markdown.ts";

export function Explanation({ kind, title }: { kind: FindingKind; title: string }) {
  const blocks = useSignal<readonly Block[] | null>(null);
  const failed = useSignal(false);

  async function load(): Promise<void> {
    if (blocks.value !== null) return;
    try {
      blocks.value = await explanation(kind);
      failed.value = false;
    } catch {
      failed.value = true;
    }
  }

  return (
    <details class="explanation" onToggle={(event) => event.currentTarget.open && load()}>
      <summary>{title}</summary>
      {failed.value && <p role="alert">The explanation could not be fetched. Load the page again.</p>}
      {blocks.value?.map((block, i) => (
        <BlockOf key={i} block={block} />
      ))}
    </details>
  );
}

function BlockOf({ block }: { block: Block }) {
  if (block.kind === "heading") return <h4>{block.text}</h4>;
  if (block.kind === "paragraph") {
    return (
      <p>
        <Spans spans={block.spans} />
      </p>
    );
  }
  return (
    <ul>
      {block.items.map((spans, i) => (
        <li key={i}>
          <Spans spans={spans} />
        </li>
      ))}
    </ul>
  );
}

function Spans({ spans }: { spans: readonly Span[] }) {
  return <>{spans.map(({ text, code }, i) => (code ? <code key={i}>{text}</code> : text))}</>;
}
