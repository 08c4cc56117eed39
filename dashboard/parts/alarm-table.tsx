// Every alarm there is: what it means, why it has its priority, what to do; each folded away until it is asked for.

import type { AlarmsAnswer } from "../../daemon/server/alarms-types.ts";
import { asking } from "../alarm-acts.ts";
import { alarmStateWord, priorityWord, sentenceCase } from "../alarm-words.ts";
import { duration, roughDuration } from "../format.ts";
import { AlarmHistory } from "./alarm-deeds.tsx";

export function AlarmTable({ answer }: { answer: AlarmsAnswer }) {
  return (
    <section class="alarm-table" aria-labelledby="alarms-all">
      <h2 id="alarms-all">Every alarm</h2>
      {answer.alarms.map((alarm) => (
        <Row key={alarm.name} alarm={alarm} />
      ))}
    </section>
  );
}

function Row({ alarm }: { alarm: AlarmsAnswer["alarms"][number] }) {
  const { name, title, state, shelvedUntil_s, longestShelf_s } = alarm;
  const ask = (act: "shelve" | "out-of-service") => {
    asking.value = { act, alarm: name, title, longest_s: longestShelf_s };
  };
  return (
    <details class="alarm-row">
      <summary>
        <b>{sentenceCase(title)}</b>
        <span>{priorityWord[alarm.priority]}</span>
        <span>
          {[
            alarmStateWord[state],
            ...(alarm.told ? [] : ["on the page only"]),
            ...(alarm.chattering ? ["comes and goes"] : []),
            ...(alarm.stale ? ["for more than a day"] : []),
          ].join(", ")}
        </span>
      </summary>
      <dl class="alarm-facts">
        {facts(alarm).map(([label, value]) => (
          <div key={label}>
            <dt>{label}</dt>
            <dd>{value}</dd>
          </div>
        ))}
      </dl>
      <AlarmHistory history={alarm.history} />
      <p class="alarm-acts">
        {shelvedUntil_s === null && (
          <button type="button" onClick={() => ask("shelve")}>
            Shelve…
          </button>
        )}
        {state !== "out-of-service" && (
          <button type="button" onClick={() => ask("out-of-service")}>
            Take out of service…
          </button>
        )}
      </p>
    </details>
  );
}

function facts(alarm: AlarmsAnswer["alarms"][number]): (readonly [label: string, value: string])[] {
  const delay = (delay_s: number) => (delay_s === 0 ? "at once" : `after ${duration(delay_s)}`);
  return [
    ["What to do", alarm.whatToDo],
    ["If nothing is done", alarm.consequence],
    ["Usual causes", alarm.cause],
    ["Time to act", roughDuration(alarm.respondWithin_s)],
    ["Why this priority", alarm.rationale],
    ["Told", delay(alarm.onDelay_s)],
    ["Over", delay(alarm.offDelay_s)],
    ...(alarm.latching ? [["When it is over", "stays until somebody resets it"] as const] : []),
  ];
}
