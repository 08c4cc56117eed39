// Alarms that a person has shelved or taken out of service: until when, by whom and why, and the way back.

import type { AlarmAside } from "../../daemon/server/alarms-types.ts";
import { act, isFromAfar, mayShelve } from "../alarm-acts.ts";
import { sentenceCase } from "../alarm-words.ts";
import { live, site } from "../live.ts";
import { siteTime } from "../site-time.ts";
import { ToneMark } from "./severity-mark.tsx";

export function AlarmsAside({ aside }: { aside: readonly AlarmAside[] }) {
  if (aside.length === 0) return null;
  return (
    <section aria-labelledby="alarms-aside">
      <h2 id="alarms-aside">Put aside: nobody is told</h2>
      <ul class="alarm-list">
        {aside.map((each) => (
          <Aside key={`${each.name} ${each.until_s}`} aside={each} />
        ))}
      </ul>
    </section>
  );
}

function Aside({ aside: { name, title: called, until_s, since_s, by, reason } }: { aside: AlarmAside }) {
  const title = sentenceCase(called);
  const { dayAndClock } = siteTime(site.value?.site.timezone ?? "UTC");
  const isSo = (live.value?.alarms ?? []).some((each) => each.name === name && each.to_s === null);
  const isShelved = until_s !== null;
  const back = isShelved ? "Take off the shelf" : "Put back in service";
  const mayBring = isShelved ? mayShelve.value : !isFromAfar.value;
  return (
    <li>
      <ToneMark tone={isSo ? "watch" : "note"} />
      <div>
        <p>
          <b>{title}</b>
          {isSo && " — it is so now"}
        </p>
        <p class="quiet">
          {isShelved ? `Shelved until ${dayAndClock(until_s)}` : "Out of service"}
          {by !== null && `, by ${by}`}
          {!isShelved && since_s !== null && `, since ${dayAndClock(since_s)}`}
          {reason !== null && `: ${reason}`}
        </p>
        {mayBring && (
          <p class="alarm-acts">
            <button
              type="button"
              aria-label={`${back}: ${title}`}
              onClick={() => void act({ alarm: name, act: isShelved ? "unshelve" : "in-service" })}
            >
              {back}
            </button>
          </p>
        )}
      </div>
    </li>
  );
}
