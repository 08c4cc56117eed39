// Asks what has to be known before an alarm is put aside or answered: for how long, why, and who. Over the page, once.

import { type Signal, useSignal, useSignalEffect } from "@preact/signals";
import { useRef } from "preact/hooks";
import { type Asking, act, alarmSaid, alarmsNow, asking, isFromAfar } from "../alarm-acts.ts";
import { sentenceCase } from "../alarm-words.ts";
import { chooseName, myName } from "../preferences.ts";
import { shelfTimes } from "../shelf-times.ts";

export function AlarmAsking() {
  const dialog = useRef<HTMLDialogElement>(null);
  useSignalEffect(() => {
    if (asking.value !== null && dialog.current?.open === false) dialog.current.showModal();
  });
  const asked = asking.value;
  const close = () => dialog.current?.close();
  return (
    <dialog ref={dialog} class="alarm-ask" aria-labelledby="ask-title" onClose={() => (asking.value = null)}>
      {asked !== null && <Questions key={`${asked.act} ${asked.alarm}`} asked={asked} close={close} />}
    </dialog>
  );
}

const headings: Readonly<Record<Asking["act"], (title: string) => string>> = {
  acknowledge: (title) => `Who will see to it? ${title}`,
  shelve: (title) => `Shelve: ${title}`,
  "out-of-service": (title) => `Take out of service: ${title}`,
};

const explained: Readonly<Record<Asking["act"], string>> = {
  acknowledge: "Whoever else is told reads your name, and nobody further is called. This device remembers it.",
  shelve: "Until then nobody is told of it. What is still so afterwards is told anew.",
  "out-of-service":
    "Nobody is told of it until somebody puts it back: for what is being repaired. It stands on this page meanwhile.",
};

const doIt: Readonly<Record<Asking["act"], string>> = {
  acknowledge: "I'll see to it",
  shelve: "Shelve",
  "out-of-service": "Take out of service",
};

function NameLine({ name }: { name: Signal<string> }) {
  return (
    <>
      <label class="ask-line">
        <span class="ask-word">Your name</span>
        <input
          required
          maxLength={40}
          autocomplete="given-name"
          list="ask-names"
          value={name.value}
          onInput={({ currentTarget }) => {
            name.value = currentTarget.value;
          }}
        />
      </label>
      <datalist id="ask-names">
        {(alarmsNow.value?.contacts ?? []).map((contact) => (
          <option key={contact.name} value={contact.name} />
        ))}
      </datalist>
    </>
  );
}

function Questions({ asked, close }: { asked: Asking; close: () => void }) {
  const name = useSignal(myName.peek());
  const reason = useSignal("");
  const times = shelfTimes(asked.longest_s);
  const for_s = useSignal(times.find((each) => each.for_s === 3600)?.for_s ?? asked.longest_s);
  const busy = useSignal(false);
  const failed = useSignal(false);

  async function submit(event: Event): Promise<void> {
    event.preventDefault();
    if (busy.peek()) return;
    busy.value = true;
    if (!isFromAfar.peek()) chooseName(name.peek());
    const { alarm, act: what } = asked;
    const done = await act({
      ...{ alarm, act: what },
      ...(what === "shelve" && { for_s: for_s.peek() }),
      ...(what !== "acknowledge" && { reason: reason.peek() }),
    });
    busy.value = false;
    failed.value = !done;
    if (done) close();
  }

  return (
    <form onSubmit={(event) => void submit(event)}>
      <h2 id="ask-title">{headings[asked.act](sentenceCase(asked.title))}</h2>
      <p class="quiet">{explained[asked.act]}</p>
      {asked.act === "shelve" && (
        <fieldset class="ask-times">
          <legend>For how long</legend>
          {times.map((each) => (
            <label key={each.for_s}>
              <input
                type="radio"
                name="for"
                autofocus={for_s.peek() === each.for_s}
                checked={for_s.value === each.for_s}
                onChange={() => {
                  for_s.value = each.for_s;
                }}
              />
              <span>{each.words}</span>
            </label>
          ))}
        </fieldset>
      )}
      {asked.act !== "acknowledge" && (
        <label class="ask-line">
          <span class="ask-word">Why</span>
          <input
            required
            maxLength={120}
            autocomplete="off"
            value={reason.value}
            onInput={({ currentTarget }) => {
              reason.value = currentTarget.value;
            }}
          />
        </label>
      )}
      {isFromAfar.value ? (
        <p class="ask-line quiet">It stands under the name of your log-in.</p>
      ) : (
        <NameLine name={name} />
      )}
      {failed.value && (
        <p class="fault" role="alert">
          {alarmSaid.value?.words}
        </p>
      )}
      <p class="alarm-acts">
        <button type="submit" class="strong">
          {doIt[asked.act]}
        </button>
        <button type="button" onClick={close}>
          Cancel
        </button>
      </p>
    </form>
  );
}
