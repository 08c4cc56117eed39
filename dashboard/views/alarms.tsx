// The alarms: what is true now and who is seeing to it, what is put aside, who is told and whether that was proven, what was
// sent, every alarm there is, and how the alarms themselves do.

import { useComputed, useSignalEffect } from "@preact/signals";
import { longestShelf_s } from "../../analysis/alarms/alarm-book.ts";
import { alarmsNow, alarmsUnread, askAlarms, asking, isFromAfar, mayShelve } from "../alarm-acts.ts";
import { alarmsSentence, sentenceCase } from "../alarm-words.ts";
import { live, site } from "../live.ts";
import { AlarmCard } from "../parts/alarm-card.tsx";
import { AlarmContacts } from "../parts/alarm-contacts.tsx";
import { AlarmDeeds } from "../parts/alarm-deeds.tsx";
import { AlarmMessages } from "../parts/alarm-messages.tsx";
import { AlarmPerformance } from "../parts/alarm-performance.tsx";
import { AlarmTable } from "../parts/alarm-table.tsx";
import { AlarmTroubleLines } from "../parts/alarm-trouble.tsx";
import { AlarmsAside } from "../parts/alarms-aside.tsx";
import { MyName } from "../parts/my-name.tsx";
import { ServiceDone } from "../parts/service-done.tsx";
import { TellThisPhone } from "../phones/tell-this-phone.tsx";
import { siteTime } from "../site-time.ts";
import { useAsking } from "./use-asking.ts";

export function AlarmsView() {
  // Until it is known from where the page is seen, nothing is asked that the central view does not answer.
  if (site.value === null) return <p class="waiting">Asking the daemon…</p>;
  return isFromAfar.value ? <FromAfar /> : <AtTheBoard />;
}

/** What a board tells the central view: not who is told, what was sent, and every alarm there is. */
function FromAfar() {
  const { alarms = null, aside = [], fromAfar } = live.value ?? {};
  return (
    <div class="alarms">
      <Head />
      <div class="alarms-now">
        <Standing />
        {fromAfar?.notTaken.map((line) => (
          <p key={line} class="fault">
            {line}
          </p>
        ))}
        <AlarmsAside aside={aside} />
      </div>
      <div class="alarms-told">
        {fromAfar !== undefined && <AlarmDeeds done={fromAfar.done} />}
        {alarms !== null && (
          <p class="quiet">Whom the board calls, what it has sent and every alarm there is stand on its own page.</p>
        )}
      </div>
    </div>
  );
}

function Head() {
  return (
    <header class="alarms-head">
      <h1>Alarms</h1>
      <p aria-live="polite">{alarmsSentence(live.value?.alarms ?? [])}</p>
      {alarmsUnread.value !== null && (
        <p class="fault" role="alert">
          {alarmsUnread.value}
        </p>
      )}
    </header>
  );
}

function AtTheBoard() {
  const news = useComputed(() => {
    const { alarms, alarmNews, alarmTrouble } = live.value ?? {};
    return JSON.stringify([alarms, alarmNews, alarmTrouble]);
  });
  useAsking(askAlarms);
  useSignalEffect(() => {
    if (news.value !== "" && alarmsNow.peek() !== null) askAlarms().catch(() => {});
  });

  const answer = alarmsNow.value;
  const trouble = live.value?.alarmTrouble ?? null;
  return (
    <div class="alarms">
      <Head />
      <div class="alarms-now">
        <Standing />
        {trouble !== null && <AlarmTroubleLines trouble={trouble} />}
        {answer !== null && <AlarmsAside aside={answer.aside} />}
        {answer !== null && <AlarmMessages answer={answer} />}
      </div>
      {answer !== null && (
        <>
          <div class="alarms-told">
            <AlarmContacts answer={answer} />
            <TellThisPhone
              when={siteTime(site.value?.site.timezone ?? "UTC").dayAndClock}
              news={news.value}
              onChange={() => askAlarms().catch(() => {})}
            />
            <MyName />
            <AlarmDeeds done={answer.done} />
            <ServiceDone answer={answer} />
          </div>
          <AlarmTable answer={answer} />
          <AlarmPerformance answer={answer} />
        </>
      )}
    </div>
  );
}

/** What is true, or waits for somebody to look. */
function Standing() {
  const active = live.value?.alarms ?? [];
  const shown = active.filter(({ state }) => !["shelved", "out-of-service", "suppressed-by-design"].includes(state));
  const consequences = active.filter(({ state, to_s }) => state === "suppressed-by-design" && to_s === null);
  return (
    <section aria-labelledby="alarms-now">
      <h2 id="alarms-now">Now</h2>
      {shown.length === 0 && <p class="quiet">None.</p>}
      {shown.map((alarm) => (
        <AlarmCard key={alarm.name} alarm={alarm}>
          {alarm.to_s === null && mayShelve.value && (
            <button
              type="button"
              aria-label={`Shelve… ${sentenceCase(alarm.title)}`}
              onClick={() => {
                const { name, title, priority } = alarm;
                asking.value = { act: "shelve", alarm: name, title, longest_s: longestShelf_s[priority] };
              }}
            >
              Shelve…
            </button>
          )}
        </AlarmCard>
      ))}
      {consequences.length > 0 && (
        <p class="quiet">
          Also so, and not told since the cause says it:{" "}
          {consequences.map(({ title }) => sentenceCase(title).toLowerCase()).join(", ")}.
        </p>
      )}
    </section>
  );
}
