// Alarms that a person has shelved or taken out of service: until when, by whom and why, and the way back.

import type { AlarmsAnswer } from "../../daemon/server/api-types.ts";
import { act } from "../alarm-acts.ts";
import { sentenceCase } from "../alarm-words.ts";
import { live, site } from "../live.ts";
import { siteTime } from "../site-time.ts";
import { ToneMark } from "./severity-mark.tsx";

export function AlarmsAside({ answer }: { answer: AlarmsAnswer }) {
  const aside = answer.alarms.filter(({ shelvedUntil_s, state }) => shelvedUntil_s !== null || isOut(state));
  if (aside.length === 0) return null;
  return (
    <section aria-labelledby="alarms-aside">
      <h2 id="alarms-aside">Put aside: nobody is told</h2>
      <ul class="alarm-list">
        {aside.map((alarm) => (
          <Aside key={alarm.name} alarm={alarm} />
        ))}
      </ul>
    </section>
  );
}

function Aside({ alarm }: { alarm: AlarmsAnswer["alarms"][number] }) {
  const { name, state, shelvedUntil_s, shelved, takenOut } = alarm;
  const title = sentenceCase(alarm.title);
  const time = siteTime(site.value?.site.timezone ?? "UTC");
  const isSo = (live.value?.alarms ?? []).some((each) => each.name === name && each.to_s === null);
  return (
    <li>
      <ToneMark tone={isSo ? "watch" : "note"} />
      <div>
        <p>
          <b>{title}</b>
          {isSo && " — it is so now"}
        </p>
        {isOut(state) && (
          <p class="quiet">
            Out of service{takenOut && `, by ${takenOut.by}, since ${time.dayAndClock(takenOut.at_s)}`}
            {takenOut?.reason && `: ${takenOut.reason}`}
          </p>
        )}
        {shelvedUntil_s !== null && (
          <p class="quiet">
            Shelved until {time.dayAndClock(shelvedUntil_s)}
            {shelved && `, by ${shelved.by}`}
            {shelved?.reason && `: ${shelved.reason}`}
          </p>
        )}
        <p class="alarm-acts">
          {isOut(state) && (
            <button
              type="button"
              aria-label={`Put back in service: ${title}`}
              onClick={() => void act({ alarm: name, act: "in-service" })}
            >
              Put back in service
            </button>
          )}
          {shelvedUntil_s !== null && (
            <button
              type="button"
              aria-label={`Take off the shelf: ${title}`}
              onClick={() => void act({ alarm: name, act: "unshelve" })}
            >
              Take off the shelf
            </button>
          )}
        </p>
      </div>
    </li>
  );
}

function isOut(state: AlarmsAnswer["alarms"][number]["state"]): boolean {
  return state === "out-of-service";
}
