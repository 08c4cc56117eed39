// What a kind of finding means and what to do about it, or another page of explanations, folded away until it is asked
// for; how it is decided, for who wants to know, folded once more.

import { useSignal } from "@preact/signals";
import type { FindingKind } from "../../analysis/findings/finding.ts";
import { explanation } from "../explanations.ts";
import type { Section, Span } from "../plain-markdown.ts";

const forTheCurious = "How it is decided";

export function Explanation({ kind, title }: { kind: FindingKind; title: string }) {
  return <Explained title={title} fetchSections={() => explanation(kind)} />;
}

export function Explained(props: {
  readonly title: string;
  readonly fetchSections: () => Promise<readonly Section[]>;
}) {
  const { title, fetchSections } = props;
  const sections = useSignal<readonly Section[] | null>(null);
  const failed = useSignal(false);

  async function load(): Promise<void> {
    if (sections.value !== null) return;
    try {
      sections.value = await fetchSections();
      failed.value = false;
    } catch {
      failed.value = true;
    }
  }

  return (
    <details class="explanation" onToggle={(event) => event.currentTarget.open && load()}>
      <summary>{title}</summary>
      {failed.value && <p role="alert">The explanation could not be fetched. Load the page again.</p>}
      {sections.value?.map((section) =>
        section.heading === forTheCurious ? (
          <details key={section.heading}>
            <summary>
              <h4>{section.heading}</h4>
            </summary>
            <Text section={section} />
          </details>
        ) : (
          <section key={section.heading}>
            <h4>{section.heading}</h4>
            <Text section={section} />
          </section>
        ),
      )}
    </details>
  );
}

function Text({ section }: { section: Section }) {
  return (
    <>
      {section.blocks.map((block) =>
        block.kind === "paragraph" ? (
          <p key={keyOf(block.spans)}>
            <Spans spans={block.spans} />
          </p>
        ) : (
          <ul key={keyOf(block.items.flat())}>
            {block.items.map((spans) => (
              <li key={keyOf(spans)}>
                <Spans spans={spans} />
              </li>
            ))}
          </ul>
        ),
      )}
    </>
  );
}

function Spans({ spans }: { spans: readonly Span[] }) {
  return <>{spans.map(({ text, code }) => (code ? <code key={text}>{text}</code> : text))}</>;
}

function keyOf(spans: readonly Span[]): string {
  return spans.map(({ text }) => text).join("");
}
