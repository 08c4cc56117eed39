// Which fields stand empty without which a part cannot be reckoned, with the way to each.

import { type FieldKey, fields } from "./fields.ts";
import { type StepName, step, tried } from "./state.ts";

const onStep: Readonly<Partial<Record<FieldKey, StepName>>> = {
  factor: "Measured",
  diameter: "Basin",
  width: "Basin",
  length: "Basin",
  stop: "Basin",
  start: "Basin",
  overflow: "Basin",
  highPoint: "Pipe",
  pipeLength: "Pipe",
  bore: "Pipe",
  curveFlow: "Pump",
};

/** Where the field alone would not say enough. */
const called: Readonly<Partial<Record<FieldKey, string>>> = {
  bore: "Material and size",
  curveFlow: "The pump's curve",
};

export function AskedFor() {
  const asked = tried.value?.asked ?? [];
  const steps = [...new Set(asked.flatMap((key) => onStep[key] ?? []))];
  if (steps.length === 0) return null;
  return (
    <ul class="asked" aria-label="Still empty">
      {steps.map((name) => (
        <li key={name}>
          <button type="button" class="plain" onClick={() => (step.value = name)}>
            {name}
          </button>
          <span>
            {" "}
            still asks for:{" "}
            {asked
              .filter((key) => onStep[key] === name)
              .map((key) => (called[key] ?? fields[key].label).toLowerCase())
              .join(", ")}
            .
          </span>
        </li>
      ))}
    </ul>
  );
}
