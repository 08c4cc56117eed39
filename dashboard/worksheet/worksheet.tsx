// The sizing worksheet: step by step from what was measured to what to ask a supplier for, with what it comes to beside it.

import "../styles/worksheet.css";
import "../styles/worksheet-entry.css";
import "../styles/worksheet-charts.css";
import "../styles/worksheet-paper.css";
import type { ComponentType } from "preact";
import { useRef } from "preact/hooks";
import { api } from "../api.ts";
import { useAsking } from "../views/use-asking.ts";
import { SoFar } from "./so-far.tsx";
import { forgetChanges, isChanged, measured, rain, type StepName, step, stepNames } from "./state.ts";
import { BackupStep } from "./steps/backup-step.tsx";
import { BasinStep } from "./steps/basin-step.tsx";
import { MeasuredStep } from "./steps/measured-step.tsx";
import { PipeStep } from "./steps/pipe-step.tsx";
import { PumpStep } from "./steps/pump-step.tsx";
import { ResultStep } from "./steps/result-step.tsx";

const steps: Readonly<Record<StepName, { readonly title: string; readonly Step: ComponentType }>> = {
  Measured: { title: "What came in", Step: MeasuredStep },
  Basin: { title: "Basin and floats", Step: BasinStep },
  Pipe: { title: "Pipe and fittings", Step: PipeStep },
  Pump: { title: "The pump", Step: PumpStep },
  Backup: { title: "When the power fails", Step: BackupStep },
  Result: { title: "What comes of it", Step: ResultStep },
};

export function Worksheet() {
  const title = useRef<HTMLHeadingElement>(null);
  useAsking(async () => {
    measured.value = await api.sizing();
    rain.value = (await api.rain()).stretches;
  });
  const at = stepNames.indexOf(step.value);
  const { title: name, Step } = steps[step.value];

  function goTo(next: StepName | undefined): void {
    if (next === undefined) return;
    step.value = next;
    title.current?.focus();
    scrollTo(0, 0);
  }

  return (
    <div class="worksheet">
      <h1 class="unseen">Sizing</h1>
      <nav aria-label="Steps" class="steps">
        <ol>
          {stepNames.map((each, i) => (
            <li key={each}>
              <button type="button" aria-current={each === step.value ? "step" : undefined} onClick={() => goTo(each)}>
                <span class="step-number">{i + 1}</span>
                <span class="step-name">{each}</span>
              </button>
            </li>
          ))}
        </ol>
      </nav>
      <p class="what-if">
        {isChanged.value ? (
          <>
            <b>Tried out:</b> not as in the site file, and kept on this page only.{" "}
            <button type="button" class="plain" onClick={forgetChanges}>
              Back to the site file
            </button>
          </>
        ) : (
          "As in the site file. Change any figure to try it out; nothing is kept, and no pump is switched."
        )}
      </p>
      <section class={step.value === "Result" ? "step step-wide" : "step"} aria-labelledby="step-title">
        <h2 id="step-title" tabIndex={-1} ref={title}>
          {at + 1}. {name}
        </h2>
        <Step />
        <p class="row step-ways">
          {at > 0 && (
            <button type="button" onClick={() => goTo(stepNames[at - 1])}>
              ← {stepNames[at - 1]}
            </button>
          )}
          {at < stepNames.length - 1 && (
            <button type="button" class="strong" onClick={() => goTo(stepNames[at + 1])}>
              Next: {stepNames[at + 1]} →
            </button>
          )}
        </p>
      </section>
      {step.value !== "Result" && <SoFar />}
    </div>
  );
}
