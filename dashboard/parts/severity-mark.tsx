// A shape for how urgent something is, so that colour is never the only sign. The word stands beside it.

import type { Severity } from "../../analysis/findings/finding.ts";
import type { Tone } from "../now-sentence.ts";

const toneOf: Readonly<Record<Severity, Tone>> = { critical: "act", warning: "watch", info: "calm" };

export function SeverityMark({ severity }: { severity: Severity }) {
  return <ToneMark tone={severity === "info" ? "note" : toneOf[severity]} />;
}

/** An arch that stands whole (calm), a lozenge (watch), a triangle (act), a broken ring (unknown), a dot (note). */
export function ToneMark({ tone }: { tone: Tone | "note" }) {
  return (
    <svg class={`mark mark-${tone}`} viewBox="0 0 32 32" aria-hidden="true">
      {tone === "calm" && (
        <>
          <path d="M4 29V16a12 12 0 0 1 24 0v13z" />
          <path class="mark-ink" d="m10 18 4.5 5L22.5 14" />
        </>
      )}
      {tone === "watch" && (
        <>
          <path d="M16 2 30 16 16 30 2 16z" />
          <path class="mark-ink" d="M16 9v9m0 4v1.5" />
        </>
      )}
      {tone === "act" && (
        <>
          <path d="M16 3 31 29H1z" />
          <path class="mark-ink" d="M16 12v8m0 4v1.5" />
        </>
      )}
      {tone === "unknown" && <circle class="mark-ring" cx="16" cy="16" r="11.5" />}
      {tone === "note" && <circle cx="16" cy="16" r="9" />}
    </svg>
  );
}
