// Who is told, in which order, by which channels, and when each was last proven.

import type { AlarmsAnswer } from "../../daemon/server/alarms-types.ts";
import { sendTest } from "../alarm-acts.ts";
import { againWord, clockOfDay, heartbeatWord, provenWord, stepWord } from "../call-words.ts";
import { now_s, site } from "../live.ts";
import { asSentence, messageOutcome } from "../message-words.ts";
import { siteTime } from "../site-time.ts";
import { ToneMark } from "./severity-mark.tsx";

type Contact = AlarmsAnswer["contacts"][number];
type Way = Contact["ways"][number];

export function AlarmContacts({ answer }: { answer: AlarmsAnswer }) {
  const { contacts, call } = answer;
  return (
    <section aria-labelledby="alarms-told">
      <h2 id="alarms-told">Who is told</h2>
      {contacts.length === 0 && (
        <p class="notice">
          <ToneMark tone="watch" />
          <span>
            {site.value?.playing === "simulated"
              ? "Nobody, for this basin is simulated: its alarms stand here as a real one's would, to be tried out. In your own site file, the group alarms says who is called."
              : "Nobody: the site file names no contacts. Alarms stand on this page alone, and at night nobody reads it."}
          </span>
        </p>
      )}
      {contacts.map((contact) => (
        <article key={contact.name} class="alarm-contact" aria-label={contact.name}>
          <h3>{contact.name}</h3>
          <p class="quiet">
            Called {stepWord(call, contact.name)}
            {contact.quiet !== null &&
              `. From ${clockOfDay(contact.quiet.from_min)} to ${clockOfDay(contact.quiet.to_min)} only what is of high priority`}
            .
          </p>
          <ul class="alarm-list">
            {contact.ways.map((way) => (
              <WayLine key={way.by} contact={contact} way={way} answer={answer} />
            ))}
          </ul>
          {contact.ways.length > 1 && (
            <button
              type="button"
              aria-label={`Test all of these: ${contact.name}`}
              onClick={() => void sendTest(contact.name, null)}
            >
              Test all of these
            </button>
          )}
        </article>
      ))}
      {contacts.length > 0 && <p class="quiet">{againWord(answer.callAgain)}</p>}
      <Heartbeat answer={answer} />
    </section>
  );
}

function WayLine({ contact, way, answer }: { contact: Contact; way: Way; answer: AlarmsAnswer }) {
  const time = siteTime(site.value?.site.timezone ?? "UTC");
  const proven = provenWord(way.proven_s, now_s.value, time.dayAndClock);
  const test = answer.messages.find(({ kind, onlyBy, ...of }) => {
    return kind === "test" && onlyBy === way.by && of.contact === contact.name && now_s.value - of.due_s < recent_s;
  });
  const failed = way.failed;
  return (
    <li>
      <ToneMark tone={way.problem === null && failed === null && proven.isGood ? "calm" : "watch"} />
      <div>
        <p>
          <b>{way.by}</b> to {way.to}
        </p>
        <p class="quiet">
          {proven.words}
          {way.note !== null && ` · ${way.note}`}
        </p>
        {way.problem !== null && <p class="fault">{asSentence(way.problem)}</p>}
        {test && test.state !== "refused" && test.state !== "expired" && (
          <p role="status" class={test.reason === null ? "" : "fault"}>
            Test {test.id}: {messageOutcome(test, time.clockToMinute)}
          </p>
        )}
        {failed && (
          <p class="fault">
            The test of {time.dayAndClock(failed.at_s)} did not get through
            {failed.reason !== null && failed.reason !== way.problem && `: ${failed.reason}`}.
          </p>
        )}
      </div>
      <button
        type="button"
        aria-label={`Test ${contact.name} by ${way.by}`}
        onClick={() => void sendTest(contact.name, way.by)}
      >
        Test
      </button>
    </li>
  );
}

/** Older tests are among the messages. */
const recent_s = 900;

function Heartbeat({ answer: { heartbeat } }: { answer: AlarmsAnswer }) {
  const time = siteTime(site.value?.site.timezone ?? "UTC");
  return (
    <div class="alarm-contact">
      <h3>If the board itself dies</h3>
      <ul class="alarm-list">
        <li>
          <ToneMark tone={heartbeat === null ? "note" : heartbeat.problem === null ? "calm" : "watch"} />
          <div>
            <p>{heartbeatWord(heartbeat, time.dayAndClock)}</p>
            {heartbeat !== null && heartbeat.problem !== null && <p class="fault">{heartbeat.problem}</p>}
          </div>
        </li>
      </ul>
    </div>
  );
}
