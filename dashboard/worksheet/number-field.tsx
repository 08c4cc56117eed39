// One number that is asked for: name, entry, unit, where to find it, and what is wrong with it. Takes any unit.

import { useSignal } from "@preact/signals";
import { useEffect, useId } from "preact/hooks";
import { units } from "../preferences.ts";
import { entryText, readEntry, spokenUnit, unitWord } from "./entry.ts";
import { type Field, type FieldKey, fields } from "./fields.ts";
import { markRefused } from "./refused.ts";
import { setNumber, sheet } from "./state.ts";

/** A number of the sheet. */
export function SheetField({ name }: { name: FieldKey }) {
  const value = sheet.value?.numbers[name] ?? null;
  return <NumberField field={fields[name]} value={value} set={(next) => setNumber(name, next)} />;
}

interface Props {
  readonly field: Field;
  readonly value: number | null;
  readonly set: (value: number | null) => void;
  /** In place of the field's own, where it stands in a table of them. */
  readonly label?: string;
  /** Label and hint are heard and not seen: the table's head shows them. */
  readonly bare?: boolean;
}

export function NumberField({ field, value, set, label = field.label, bare = false }: Props) {
  const id = useId();
  const system = units.value;
  /** As typed, while it is not a number that can be. */
  const typing = useSignal<string | null>(null);
  const problem = useSignal<string | null>(null);
  const unit = unitWord(field, system);
  useEffect(() => () => markRefused(id, false), [id]);

  function take(text: string): void {
    typing.value = text;
    const entry = readEntry(text, field, system);
    problem.value = entry.ok ? null : entry.problem;
    markRefused(id, !entry.ok);
    if (entry.ok) set(entry.value);
  }

  return (
    <div class={bare ? "entry entry-bare" : "entry"}>
      <label for={id} class={bare ? "unseen" : ""}>
        {label}
      </label>
      <span class="entry-box">
        <input
          id={id}
          type="text"
          inputMode="decimal"
          aria-label={unit ? `${label}, ${spokenUnit(unit)}` : label}
          autocomplete="off"
          value={typing.value ?? entryText(value, field, system)}
          aria-invalid={problem.value !== null}
          aria-describedby={`${id}-where`}
          onInput={(event) => take(event.currentTarget.value)}
          onBlur={() => {
            if (problem.value === null) typing.value = null;
          }}
        />
        <span class="entry-unit" aria-hidden="true">
          {unit}
        </span>
      </span>
      <p id={`${id}-where`} class={bare && problem.value === null ? "unseen" : "where"}>
        {problem.value === null ? field.where : <span class="fault">{problem.value}</span>}
      </p>
    </div>
  );
}
