// The alarms: what is true now and who sees to it, who is told and whether that was proven, what was sent, every alarm
// there is, and how the alarms themselves do.

import { useSignal, useSignalEffect } from "@preact/signals";
import type { ActiveAlarm, AlarmsAnswer } from "../../daemon/server/api-types.ts";
import { alarmStateWord, performanceLines, priorityWord, sentenceCase } from "../alarm-words.ts";
import { type AlarmAct, api } from "../api.ts";
import { roughDuration } from "../format.ts";
import { live, site } from "../live.ts";
import { AlarmCard } from "../parts/alarm-card.tsx";
import { AlarmContacts } from "../parts/alarm-contacts.tsx";
import { AlarmMessages } from "../parts/alarm-messages.tsx";
import { siteTime } from "../site-time.ts";
import { useAsking } from "./use-asking.ts";

export function AlarmsView() {
  const answer = useSignal<AlarmsAnswer | null>(null);
  const failure = useSignal<string | null>(null);
  const take = async (asked: Promise<AlarmsAnswer>) => {
    try {
      answer.value = await asked;
      failure.value = null;
    } catch (error) {
      failure.value = error instanceof Error ? error.message : String(error);
      throw error;
    }
  };
  useAsking(() => take(api.alarms()));
  // Whatever changes of the active ones, by somebody's answer say, changes what else is shown.
  useSignalEffect(() => {
    if (JSON.stringify(live.value?.alarms ?? null) !== "" && answer.peek() !== null) take(api.alarms()).catch(() => {});
  });
  const act = (act: AlarmAct) => take(api.actOnAlarm(act)).catch(() => {});

  const all = answer.value;
  const active = live.value?.alarms ?? [];
  return (
    <div class="alarms">
      <h1>Alarms</h1>
      {failure.value !== null && (
        <p class="fault" role="alert">
          {failure.value}
        </p>
      )}
      <section aria-labelledby="alarms-now">
        <h2 id="alarms-now">Now</h2>
        {active.length === 0 && <p class="quiet">None.</p>}
        {active.map((alarm) => (
          <AlarmCard key={alarm.name} alarm={alarm} act={act} />
        ))}
      </section>
      {all !== null && (
        <>
          <AlarmContacts answer={all} test={(contact, by) => take(api.testContact(contact, by)).catch(() => {})} />
          <AlarmMessages answer={all} />
          <EveryAlarm answer={all} active={active} act={act} />
          <Performance answer={all} />
        </>
      )}
    </div>
  );
}

function EveryAlarm(props: {
  readonly answer: AlarmsAnswer;
  readonly active: readonly ActiveAlarm[];
  readonly act: (act: AlarmAct) => void;
}) {
  const { answer, act } = props;
  const time = siteTime(site.value?.site.timezone ?? "UTC");
  return (
    <section aria-labelledby="alarms-all">
      <h2 id="alarms-all">Every alarm</h2>
      {answer.alarms.map((alarm) => (
        <details key={alarm.name} class="alarm-row">
          <summary>
            <b>{sentenceCase(alarm.title)}</b>
            <span>{priorityWord[alarm.priority]}</span>
            <span>{alarmStateWord[alarm.state]}</span>
            {!alarm.told && <span>on the page only</span>}
            {alarm.chattering && <span>comes and goes</span>}
            {alarm.stale && <span>for more than a day</span>}
          </summary>
          <dl class="evidence">
            {(
              [
                ["Usual causes", alarm.cause],
                ["If nothing is done", alarm.consequence],
                ["What to do", alarm.whatToDo],
                ["Why this priority", alarm.rationale],
                ["Time to act", roughDuration(alarm.respondWithin_s)],
                ["Told after", alarm.onDelay_s === 0 ? "at once" : roughDuration(alarm.onDelay_s)],
                ["Over after", alarm.offDelay_s === 0 ? "at once" : roughDuration(alarm.offDelay_s)],
                ...(alarm.shelvedUntil_s === null
                  ? []
                  : [["Shelved until", time.dayAndClock(alarm.shelvedUntil_s)] as const]),
              ] as const
            ).map(([label, value]) => (
              <div key={label}>
                <dt>{label}</dt>
                <dd>{value}</dd>
              </div>
            ))}
          </dl>
          <p class="alarm-acts">
            {alarm.shelvedUntil_s === null ? (
              <button type="button" onClick={() => act({ alarm: alarm.name, act: "shelve", for_s: 3600 })}>
                Shelve for an hour
              </button>
            ) : (
              <button type="button" onClick={() => act({ alarm: alarm.name, act: "unshelve" })}>
                Take off the shelf
              </button>
            )}
            {alarm.state === "out-of-service" ? (
              <button type="button" onClick={() => act({ alarm: alarm.name, act: "in-service" })}>
                Put back in service
              </button>
            ) : (
              <button type="button" onClick={() => act({ alarm: alarm.name, act: "out-of-service" })}>
                Take out of service
              </button>
            )}
          </p>
        </details>
      ))}
    </section>
  );
}

function Performance({ answer }: { answer: AlarmsAnswer }) {
  return (
    <section aria-labelledby="alarms-performance">
      <h2 id="alarms-performance">How the alarms do</h2>
      <p class="quiet">Over the last 30 days; the marks to hold are those of ANSI/ISA-18.2.</p>
      <dl class="evidence">
        {performanceLines(answer).map(({ label, value, mark }) => (
          <div key={label}>
            <dt>{label}</dt>
            <dd>
              {value} <span class="quiet">({mark})</span>
            </dd>
          </div>
        ))}
      </dl>
    </section>
  );
}
