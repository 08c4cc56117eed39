// Who did what about alarms, and when; and what became of one alarm: both newest first.

import type { AlarmDeed } from "../../daemon/server/alarms-types.ts";
import { sentenceCase } from "../alarm-words.ts";
import { capital } from "../capital.ts";
import { deedWord, testedWord } from "../deed-words.ts";
import { site } from "../live.ts";
import { siteTime } from "../site-time.ts";

const newest = 5;

/** What people did; nothing is drawn before somebody has done something. */
export function AlarmDeeds({ done }: { done: readonly AlarmDeed[] }) {
  if (done.length === 0) return null;
  const lines = (deeds: readonly AlarmDeed[]) => (
    <ol class="alarm-deeds">
      {deeds.map((deed) => (
        <Line key={`${deed.at_s} ${deed.kind} ${deed.alarm ?? deed.contact}`} deed={deed} />
      ))}
    </ol>
  );
  return (
    <section aria-labelledby="alarms-done">
      <h2 id="alarms-done">Who did what</h2>
      {lines(done.slice(0, newest))}
      {done.length > newest && (
        <details class="alarm-more">
          <summary>{done.length - newest} earlier</summary>
          {lines(done.slice(newest))}
        </details>
      )}
    </section>
  );
}

function Line({ deed }: { deed: AlarmDeed }) {
  const time = siteTime(site.value?.site.timezone ?? "UTC");
  const what = deed.kind === "tested" ? `to ${testedWord(deed)}` : deedWord(deed, time.dayAndClock);
  return (
    <li>
      <time dateTime={new Date(deed.at_s * 1000).toISOString()}>{time.shortDayAndClock(deed.at_s)}</time>
      <p>
        <b>{sentenceCase(deed.title ?? "Test")}:</b> {what}
      </p>
    </li>
  );
}

/** What became of one alarm in the last 30 days. */
export function AlarmHistory({ history }: { history: readonly AlarmDeed[] }) {
  const time = siteTime(site.value?.site.timezone ?? "UTC");
  if (history.length === 0) return null;
  return (
    <>
      <h3>What became of it</h3>
      <ol class="alarm-deeds">
        {history.map((deed) => (
          <li key={`${deed.at_s} ${deed.kind}`}>
            <time dateTime={new Date(deed.at_s * 1000).toISOString()}>{time.shortDayAndClock(deed.at_s)}</time>
            <p>{capital(deedWord(deed, time.dayAndClock))}</p>
          </li>
        ))}
      </ol>
    </>
  );
}
