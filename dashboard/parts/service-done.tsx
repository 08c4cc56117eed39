// The half-yearly service: when the last was, when the next is due, what belongs to it, that it was done, and that this was
// a slip.

import { signal } from "@preact/signals";
import { serviceSteps } from "../../analysis/alarms/service-steps.ts";
import type { AlarmsAnswer } from "../../daemon/server/alarms-types.ts";
import { enterService, takeBackService } from "../alarm-acts.ts";
import { dayWord } from "../deed-words.ts";

/** Day that was chosen; null: today. */
const chosen = signal<string | null>(null);

export function ServiceDone({ answer: { service, now_s } }: { answer: Pick<AlarmsAnswer, "service" | "now_s"> }) {
  const { last, entered, today } = service;
  return (
    <section aria-labelledby="service-title">
      <h2 id="service-title">Service of basin and pump</h2>
      <p class="quiet">{serviceWord(service, now_s)}</p>
      <details class="alarm-more">
        <summary>Go through it step by step</summary>
        <ol class="service-steps">
          {serviceSteps.map((step) => (
            <li key={step}>{step}</li>
          ))}
        </ol>
        <p class="quiet">Common practice, no source. The pump's own instructions and local codes come first.</p>
        <form
          class="my-name"
          onSubmit={(event) => {
            event.preventDefault();
            void enterService(chosen.value ?? today).then((done) => {
              if (done) chosen.value = null;
            });
          }}
        >
          <label class="ask-line">
            <span class="ask-word">Done on</span>
            <input
              type="date"
              required
              max={today}
              value={chosen.value ?? today}
              onInput={({ currentTarget: { value } }) => {
                chosen.value = value;
              }}
            />
          </label>
          <button type="submit">Enter the service</button>
        </form>
        {last !== null && entered && (
          <p class="alarm-acts">
            <button type="button" onClick={() => void takeBackService(last)}>
              Take back the entry of {dayWord(last)}
            </button>
          </p>
        )}
      </details>
    </section>
  );
}

/** `Last on 1 May 2026, entered by Ann. Due on 30 Oct 2026.` Whoever gives no name is called after the page. */
export function serviceWord({ last, by, due, due_s }: AlarmsAnswer["service"], now_s: number): string {
  if (last === null || due === null || due_s === null) return "None was entered yet, so nothing reminds of the next.";
  const done = `Last on ${dayWord(last)}${by === null || by === "the page" ? "" : `, entered by ${by}`}.`;
  return `${done} ${due_s < now_s ? "It has been due since" : "Due on"} ${dayWord(due)}.`;
}
