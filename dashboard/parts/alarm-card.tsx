// One alarm that is true now: what, since when, what to do, and the button of whoever sees to it.

import type { ActiveAlarm } from "../../daemon/server/api-types.ts";
import { alarmStateWord, sentenceCase } from "../alarm-words.ts";
import type { AlarmAct } from "../api.ts";
import { roughDuration } from "../format.ts";
import { now_s, site } from "../live.ts";
import { siteTime } from "../site-time.ts";
import { ToneMark } from "./severity-mark.tsx";

const toneOf = { high: "act", medium: "watch", low: "note" } as const;
const edgeOf = { high: "critical", medium: "warning", low: "info" } as const;

export function AlarmCard({ alarm, act }: { alarm: ActiveAlarm; act: (act: AlarmAct) => void }) {
  const { name, title, priority, whatToDo, state, from_s, to_s, acknowledgedBy } = alarm;
  const time = siteTime(site.value?.site.timezone ?? "UTC");
  const waits = /unacknowledged$/.test(state);
  return (
    <article class={`finding finding-${to_s === null ? edgeOf[priority] : "past"}`}>
      <ToneMark tone={toneOf[priority]} />
      <div>
        <h3>{sentenceCase(title)}</h3>
        <p class="finding-when">
          <b>{acknowledgedBy === null ? sentenceCase(alarmStateWord[state]) : `${acknowledgedBy} sees to it`}</b>
          {to_s === null
            ? ` · since ${time.dayAndClock(from_s)}, for ${roughDuration(now_s.value - from_s)}`
            : ` · ${time.span(from_s, to_s)}`}
        </p>
        {to_s === null && <p class="finding-do">{whatToDo}</p>}
        <p class="alarm-acts">
          {waits && (
            <button type="button" class="strong" onClick={() => act({ alarm: name, act: "acknowledge" })}>
              {to_s === null ? "I see to it" : "I have seen it"}
            </button>
          )}
          {state === "latched-acknowledged" && (
            <button type="button" onClick={() => act({ alarm: name, act: "reset" })}>
              Reset
            </button>
          )}
        </p>
      </div>
    </article>
  );
}
