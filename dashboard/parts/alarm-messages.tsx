// What was sent and what became of it, newest first.

import type { AlarmsAnswer } from "../../daemon/server/api-types.ts";
import { messageKindWord, messageOutcome, sentenceCase } from "../alarm-words.ts";
import { site } from "../live.ts";
import { siteTime } from "../site-time.ts";

export function AlarmMessages({ answer }: { answer: AlarmsAnswer }) {
  const time = siteTime(site.value?.site.timezone ?? "UTC");
  const titleOf = (name: string | null) =>
    sentenceCase(answer.alarms.find((alarm) => alarm.name === name)?.title ?? "");
  return (
    <section aria-labelledby="alarms-messages">
      <h2 id="alarms-messages">Messages</h2>
      {answer.cardProblem !== null && (
        <p class="fault" role="alert">
          Messages are kept in memory alone, and a power cut would lose those that have not been sent:{" "}
          {answer.cardProblem}
        </p>
      )}
      {answer.messages.length === 0 && <p class="quiet">None yet.</p>}
      <ol class="alarm-messages">
        {answer.messages.map((message) => (
          <li key={message.id} class={message.state === "refused" || message.state === "expired" ? "fault" : ""}>
            <span class="quiet">{message.id}</span>{" "}
            <b>{sentenceCase(`${titleOf(message.alarm)} ${messageKindWord[message.kind]}`.trim())}</b> to{" "}
            {message.contact}: {messageOutcome(message, time.shortDayAndClock)}
          </li>
        ))}
      </ol>
    </section>
  );
}
