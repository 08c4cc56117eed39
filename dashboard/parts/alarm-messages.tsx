// What was sent and what became of it, newest first; what has not got through comes before everything else.

import type { AlarmsAnswer } from "../../daemon/server/alarms-types.ts";
import { capital } from "../capital.ts";
import { site } from "../live.ts";
import { isOutdone, isPlanned, isUndelivered, messageOutcome, messageTitle, plannedWord } from "../message-words.ts";
import { siteTime } from "../site-time.ts";
import { ToneMark } from "./severity-mark.tsx";

type Message = AlarmsAnswer["messages"][number];

const newest = 6;

export function AlarmMessages({ answer }: { answer: AlarmsAnswer }) {
  const time = siteTime(site.value?.site.timezone ?? "UTC");
  // What was to be told of the water comes before tests.
  const failed = answer.messages
    .filter((message) => isUndelivered(message, answer.now_s) && !isOutdone(message, answer.messages))
    .toSorted((a, b) => Number(a.alarm === null) - Number(b.alarm === null));
  const planned = answer.messages.filter((message) => isPlanned(message, answer.now_s)).toReversed();
  const others = answer.messages.filter((message) => !failed.includes(message) && !planned.includes(message));
  const lines = (messages: readonly Message[]) => (
    <ol class="alarm-list">
      {messages.map((message) => (
        <Line key={message.id} message={message} answer={answer} failed={failed.includes(message)} />
      ))}
    </ol>
  );
  return (
    <section aria-labelledby="alarms-messages">
      <h2 id="alarms-messages">Messages</h2>
      {answer.messages.length === 0 && <p class="quiet">None yet.</p>}
      {failed.length > 0 && (
        <>
          <h3>Not delivered</h3>
          {lines(failed)}
          {others.length > 0 && <h3>Others</h3>}
        </>
      )}
      {planned.length > 0 && (
        <details class="alarm-more">
          <summary>{plannedWord(planned, time.dayAndClock)}</summary>
          {lines(planned)}
        </details>
      )}
      {lines(others.slice(0, newest))}
      {others.length > newest && (
        <details class="alarm-more">
          <summary>{others.length - newest} earlier</summary>
          {lines(others.slice(newest))}
        </details>
      )}
    </section>
  );
}

function Line({ message, answer, failed }: { message: Message; answer: AlarmsAnswer; failed: boolean }) {
  const time = siteTime(site.value?.site.timezone ?? "UTC");
  return (
    <li>
      <ToneMark tone={failed ? "watch" : message.state === "sent" ? "calm" : "note"} />
      <div>
        <p>
          <b>{messageTitle(message, answer.alarms)}</b> to {message.contact}
        </p>
        <p class={failed ? "fault" : "quiet"}>
          {capital(messageOutcome(message, time.shortDayAndClock))} · no. {message.id}
        </p>
      </div>
    </li>
  );
}
