// One finding: how urgent, what, since when, what to do, and the figures that made it.

import type { Finding } from "../../analysis/findings/finding.ts";
import { showInRecord } from "../charts/record-span.ts";
import { evidenceLines } from "../evidence.ts";
import { severityWas, severityWord, titleOf } from "../finding-words.ts";
import { roughDuration } from "../format.ts";
import { now_s, site } from "../live.ts";
import { units } from "../preferences.ts";
import { siteTime } from "../site-time.ts";
import { Explanation } from "./explanation.tsx";
import { SeverityMark } from "./severity-mark.tsx";

export function FindingCard({ finding }: { finding: Finding }) {
  const { kind, severity, from_s, to_s, evidence, message } = finding;
  const time = siteTime(site.value?.site.timezone ?? "UTC");
  const lines = evidenceLines(evidence, units.value, time);
  const open = to_s === null;
  return (
    <article class={`finding ${open ? `finding-${severity}` : "finding-past"}`}>
      <SeverityMark severity={severity} />
      <div>
        <h3>{titleOf(finding)}</h3>
        <p class="finding-when">
          <b>{open ? severityWord[severity] : severityWas[severity]}</b>
          {open
            ? ` · since ${time.dayAndClock(from_s)}, for ${roughDuration(now_s.value - from_s)}`
            : ` · ${time.span(from_s, to_s)}, ${roughDuration(to_s - from_s)}`}
        </p>
        <p class="finding-do">{message}</p>
        {lines.length > 0 && (
          <dl class="evidence">
            {lines.map((line) => (
              <div key={line.label}>
                <dt>{line.label}</dt>
                <dd>{line.value}</dd>
              </div>
            ))}
          </dl>
        )}
        <Explanation kind={kind} title="What it means, and what to check" />
        <button type="button" class="plain" onClick={() => showInRecord(from_s, to_s ?? now_s.value)}>
          Show it in the record
        </button>
      </div>
    </article>
  );
}
