// Who is told, in which order, by which channels, and when each was last proven.

import type { AlarmsAnswer } from "../../daemon/server/api-types.ts";
import { roughDuration } from "../format.ts";
import { site } from "../live.ts";
import { siteTime } from "../site-time.ts";

export function AlarmContacts(props: {
  readonly answer: AlarmsAnswer;
  readonly test: (contact: string, by: string | null) => void;
}) {
  const { answer, test } = props;
  const time = siteTime(site.value?.site.timezone ?? "UTC");
  const step = (name: string) => {
    const first = answer.call.find(({ contacts }) => contacts.includes(name));
    if (first === undefined) return "never";
    return first.after_s === 0 ? "at once" : `after ${roughDuration(first.after_s)}, unless somebody has answered`;
  };
  return (
    <section aria-labelledby="alarms-told">
      <h2 id="alarms-told">Who is told</h2>
      {answer.contacts.length === 0 && (
        <p class="notice">
          Nobody: the site file names no contacts. Alarms stand on this page alone, and at night nobody reads it.
        </p>
      )}
      {answer.contacts.map(({ name, quiet, ways }) => (
        <div key={name} class="alarm-contact">
          <h3>{name}</h3>
          <p class="quiet">
            {step(name)}
            {quiet !== null &&
              `; between ${clock(quiet.from_min)} and ${clock(quiet.to_min)} only what is of high priority`}
          </p>
          <ul>
            {ways.map((way) => (
              <li key={way.by}>
                <b>{way.by}</b> to {way.to}:{" "}
                {way.proven_s === null ? "never proven" : `last proven ${time.dayAndClock(way.proven_s)}`}
                {way.failed !== null && (
                  <span class="fault">
                    {" "}
                    The test of {time.dayAndClock(way.failed.at_s)} did not get through
                    {way.failed.reason !== null && `: ${way.failed.reason}`}.
                  </span>
                )}
                {way.note !== null && `; ${way.note}`}
                {way.problem !== null && <span class="fault"> {way.problem}</span>}{" "}
                <button type="button" class="plain" onClick={() => test(name, way.by)}>
                  Send a test
                </button>
              </li>
            ))}
          </ul>
        </div>
      ))}
    </section>
  );
}

function clock(minutes: number): string {
  return `${String(Math.floor(minutes / 60)).padStart(2, "0")}:${String(minutes % 60).padStart(2, "0")}`;
}
