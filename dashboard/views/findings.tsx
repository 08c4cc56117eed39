// Every finding of the record: what lasts first, then what is over, newest first.

import { useSignal, useSignalEffect } from "@preact/signals";
import { useRef } from "preact/hooks";
import { type Finding, findingKinds } from "../../analysis/findings/finding.ts";
import { api } from "../api.ts";
import { byUrgency, findingTitle } from "../finding-words.ts";
import { lastFinding, live } from "../live.ts";
import { Explanation } from "../parts/explanation.tsx";
import { FindingCard } from "../parts/finding-card.tsx";
import { useAsking } from "./use-asking.ts";

const most = 200;

export function FindingsView() {
  const findings = useSignal<readonly Finding[] | null>(null);
  const failure = useSignal<string | null>(null);

  /** While they are being asked for: the answer may be older than these. */
  const arrived = useRef<Finding[] | null>(null);

  useSignalEffect(() => {
    const fresh = lastFinding.value;
    if (!fresh) return;
    arrived.current?.push(fresh);
    if (findings.peek()) findings.value = merged(findings.peek() ?? [], fresh);
  });
  useAsking(async () => {
    const meanwhile: Finding[] = [];
    arrived.current = meanwhile;
    try {
      const answer = await api.findings({ from_s: 0, to_s: 1e11 }, most);
      findings.value = meanwhile.reduce(merged, answer.findings);
      failure.value = null;
    } catch (error) {
      failure.value = error instanceof Error ? error.message : String(error);
      throw error;
    } finally {
      arrived.current = null;
    }
  });

  const all = findings.value;
  const open = byUrgency(live.value?.situation.openFindings ?? []);
  const past = (all ?? []).filter((finding) => finding.to_s !== null);
  return (
    <div class="findings">
      <h1>Findings</h1>
      {failure.value && (
        <p class="fault" role="alert">
          {failure.value}
        </p>
      )}
      <section aria-labelledby="lasting">
        <h2 id="lasting">Open</h2>
        {open.length === 0 && <p class="quiet">None.</p>}
        <Cards findings={open} />
      </section>
      <section aria-labelledby="over">
        <h2 id="over">Ended</h2>
        {all !== null && past.length === 0 && <p class="quiet">None in the record.</p>}
        <Cards findings={past} />
        {past.length >= most && <p class="quiet">Older ones are in the record; the newest {most} are shown.</p>}
      </section>
      <section aria-labelledby="kinds">
        <h2 id="kinds">Every kind explained</h2>
        {findingKinds.map((kind) => (
          <Explanation key={kind} kind={kind} title={findingTitle[kind]} />
        ))}
      </section>
    </div>
  );
}

function Cards({ findings }: { findings: readonly Finding[] }) {
  return (
    <div class="finding-cards">
      {findings.map((finding) => (
        <FindingCard key={keyOf(finding)} finding={finding} />
      ))}
    </div>
  );
}

function keyOf({ kind, from_s }: Finding): string {
  return `${kind} ${from_s}`;
}

function merged(findings: readonly Finding[], fresh: Finding): readonly Finding[] {
  return [fresh, ...findings.filter((finding) => keyOf(finding) !== keyOf(fresh))].sort((a, b) => b.from_s - a.from_s);
}
