// One alarm that is true now: what, since when, what to do, and the button of whoever sees to it.

import type { ComponentChildren } from "preact";
import type { ActiveAlarm } from "../../daemon/server/alarms-types.ts";
import { acknowledge, act, isFromAfar, mayAnswer } from "../alarm-acts.ts";
import { answeredWord, sentenceCase } from "../alarm-words.ts";
import { roughDuration } from "../format.ts";
import { now_s, site } from "../live.ts";
import { myName } from "../preferences.ts";
import { siteTime } from "../site-time.ts";
import { ToneMark } from "./severity-mark.tsx";

const toneOf = { high: "act", medium: "watch", low: "note" } as const;
const edgeOf = { high: "critical", medium: "warning", low: "info" } as const;

/** @param children further buttons */
export function AlarmCard({ alarm, children }: { alarm: ActiveAlarm; children?: ComponentChildren }) {
  const { name, title, priority, whatToDo, state, from_s, to_s } = alarm;
  const time = siteTime(site.value?.site.timezone ?? "UTC");
  const lasts = to_s === null;
  const word = lasts ? "I'll see to it" : "I have seen it";
  const waits = /unacknowledged$/.test(state);
  return (
    <article class={`finding finding-${lasts ? edgeOf[priority] : "past"}`}>
      <ToneMark tone={toneOf[priority]} />
      <div>
        <h3>{sentenceCase(title)}</h3>
        <p class="finding-when">
          <b>{answeredWord(alarm)}</b>
          {lasts
            ? ` · since ${time.dayAndClock(from_s)}, for ${roughDuration(now_s.value - from_s)}`
            : ` · ${time.span(from_s, to_s)}`}
        </p>
        {lasts && <p class="finding-do">{whatToDo}</p>}
        <p class="alarm-acts">
          {waits && mayAnswer.value && (
            <button
              type="button"
              class="strong"
              aria-label={`${word}: ${sentenceCase(title)}`}
              onClick={() => acknowledge(alarm)}
            >
              {word}
            </button>
          )}
          {waits && !isFromAfar.value && myName.value !== "" && <span class="quiet">as {myName.value}</span>}
          {state === "latched-acknowledged" && !isFromAfar.value && (
            <button type="button" class="strong" onClick={() => void act({ alarm: name, act: "reset" })}>
              Reset
            </button>
          )}
          {children}
        </p>
      </div>
    </article>
  );
}
