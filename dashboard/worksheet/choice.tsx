// One of several, from a list, with where to find which it is; and how many of a thing, by two buttons.

import { useId } from "preact/hooks";

interface ChoiceProps<Value extends string> {
  readonly label: string;
  readonly where: string;
  readonly value: Value | null;
  readonly choices: readonly { readonly value: Value; readonly word: string }[];
  readonly choose: (value: Value | null) => void;
}

export function Choice<Value extends string>({ label, where, value, choices, choose }: ChoiceProps<Value>) {
  const id = useId();
  return (
    <div class="entry">
      <label for={id}>{label}</label>
      <select
        id={id}
        value={value ?? ""}
        aria-describedby={`${id}-where`}
        onChange={(event) => {
          const found = choices.find((choice) => choice.value === event.currentTarget.value);
          choose(found?.value ?? null);
        }}
      >
        <option value="">not known</option>
        {choices.map((choice) => (
          <option key={choice.value} value={choice.value}>
            {choice.word}
          </option>
        ))}
      </select>
      <p id={`${id}-where`} class="where">
        {where}
      </p>
    </div>
  );
}

interface CounterProps {
  readonly label: string;
  readonly hint: string;
  readonly count: number;
  readonly set: (count: number) => void;
}

const mostOfOne = 99;

export function Counter({ label, hint, count, set }: CounterProps) {
  return (
    <fieldset class="counter">
      <legend class="unseen">{label}</legend>
      <span class="counter-name" aria-hidden="true">
        {label} <small>{hint}</small>
      </span>
      <button type="button" aria-label={`One ${label} less`} disabled={count === 0} onClick={() => set(count - 1)}>
        −
      </button>
      <output aria-label={`${label}: ${count}`}>{count}</output>
      <button
        type="button"
        aria-label={`One ${label} more`}
        disabled={count >= mostOfOne}
        onClick={() => set(count + 1)}
      >
        +
      </button>
    </fieldset>
  );
}
