// Whose name stands beside what is done on this device.

import { useSignal } from "@preact/signals";
import { chooseName, myName } from "../preferences.ts";

export function MyName() {
  const typed = useSignal<string | null>(null);
  if (typed.value === null) {
    return (
      <p class="my-name quiet">
        {myName.value === ""
          ? "Nobody has given a name on this device yet."
          : `On this device, ${myName.value} answers.`}{" "}
        <button type="button" class="plain" onClick={() => (typed.value = myName.value)}>
          {myName.value === "" ? "Give a name" : "Change the name"}
        </button>
      </p>
    );
  }
  return (
    <form
      class="my-name"
      onSubmit={(event) => {
        event.preventDefault();
        chooseName(typed.value ?? "");
        typed.value = null;
      }}
    >
      <label class="ask-line">
        <span class="ask-word">Your name</span>
        <input
          maxLength={40}
          autocomplete="given-name"
          value={typed.value}
          onInput={({ currentTarget }) => (typed.value = currentTarget.value)}
        />
      </label>
      <button type="submit">Keep</button>
    </form>
  );
}
