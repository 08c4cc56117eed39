// The half-yearly service: when the last was, when the next is due, what belongs to it, and that it was done.

import { serviceSteps } from "../../analysis/alarms/service-steps.ts";
import type { AlarmsAnswer } from "../../daemon/server/alarms-types.ts";
import { enterService } from "../alarm-acts.ts";
import { site } from "../live.ts";

export function ServiceDone({ answer: { service, now_s } }: { answer: Pick<AlarmsAnswer, "service" | "now_s"> }) {
  return (
    <section aria-labelledby="service-title">
      <h2 id="service-title">Service of basin and pump</h2>
      <p class="quiet">{serviceWord(service, now_s, site.value?.site.timezone ?? "UTC")}</p>
      <details class="alarm-more">
        <summary>Go through it step by step</summary>
        <ol class="service-steps">
          {serviceSteps.map((step) => (
            <li key={step}>{step}</li>
          ))}
        </ol>
        <p class="quiet">Common practice, no source. The pump's own instructions and local codes come first.</p>
        <p class="alarm-acts">
          <button type="button" onClick={() => void enterService()}>
            It was serviced today
          </button>
        </p>
      </details>
    </section>
  );
}

/** `Last on 1 May 2026, entered by Ann. Due on 30 Oct 2026.` Whoever gives no name is called after the page. */
export function serviceWord({ last, by, due_s }: AlarmsAnswer["service"], now_s: number, timezone: string): string {
  if (last === null || due_s === null) return "None was entered yet, so nothing reminds of the next.";
  const day = (time_s: number, timeZone: string) =>
    new Intl.DateTimeFormat("en-GB", { dateStyle: "medium", timeZone }).format(time_s * 1000);
  const done = `Last on ${day(Date.parse(last) / 1000, "UTC")}${by === null || by === "the page" ? "" : `, entered by ${by}`}.`;
  return `${done} ${due_s < now_s ? "It has been due since" : "Due on"} ${day(due_s, timezone)}.`;
}
