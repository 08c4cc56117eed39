// The first screen: what is true now and what to do, then the basin, the figures and how the instruments are doing.

import { answeredWord, sentenceCase } from "../alarm-words.ts";
import { BasinSection } from "../basin/basin-section.tsx";
import { byUrgency } from "../finding-words.ts";
import { roughDuration } from "../format.ts";
import { ended, live, lostSince_ms, now_s, readingAge_s, site } from "../live.ts";
import { notices } from "../notices.ts";
import { nowSentence, staleAfter_s } from "../now-sentence.ts";
import { AlarmCard } from "../parts/alarm-card.tsx";
import { Figures } from "../parts/figures.tsx";
import { FindingCard } from "../parts/finding-card.tsx";
import { FindingLine } from "../parts/finding-line.tsx";
import { Instruments } from "../parts/instruments.tsx";
import { ToneMark } from "../parts/severity-mark.tsx";
import { Trend } from "../parts/trend.tsx";
import { pumpNames } from "../pump-words.ts";
import { siteTime } from "../site-time.ts";

export function NowView() {
  const state = live.value;
  const info = site.value;
  if (!state || !info) {
    return (
      <p class="waiting" role="status">
        {lostSince_ms.value === null ? "Asking the daemon…" : "The daemon does not answer. Is it running?"}
      </p>
    );
  }
  const { situation } = state;
  const age_s = readingAge_s.value;
  const connected = lostSince_ms.value === null;
  const stale = !connected || age_s === null || age_s > staleAfter_s;
  const basin = info.site.basin;
  const sentence = nowSentence({
    situation,
    basin,
    pumpNames: pumpNames(info.site),
    now_s: now_s.value,
    readingAge_s: age_s,
    connected,
    ended: ended.value,
  });

  const { aside = [] } = state;
  const { dayAndClock } = siteTime(info.site.timezone);
  const standing = (state.alarms ?? []).filter((alarm) => /^(un)?acknowledged$/.test(alarm.state));

  return (
    <div class="now">
      <div class="now-first">
        <section class={`sentence tone-${sentence.tone}`} aria-label="What is true now">
          <ToneMark tone={sentence.tone} />
          <div>
            <h1 aria-live="polite">{sentence.headline}</h1>
            <p class="sentence-detail">{sentence.detail}</p>
            {sentence.advice && <p class="sentence-advice">{sentence.advice}</p>}
            {sentence.note && (
              <p class="notice">
                <ToneMark tone={sentence.tone === "calm" ? "note" : "watch"} />
                <span>
                  {sentence.note} <a href="#findings">See Findings</a>.
                </span>
              </p>
            )}
            <p class={`fresh ${stale ? "fresh-stale" : ""}`}>
              <i aria-hidden="true" />
              {age_s === null ? "no reading yet" : `last reading ${roughDuration(age_s)} ago`}
              {!connected && " · not connected"}
            </p>
            {notices(state).map((line) => (
              <p key={line} class="notice">
                <ToneMark tone="watch" />
                {line}
              </p>
            ))}
          </div>
        </section>
        {standing.length + aside.length > 0 && (
          <section aria-labelledby="now-alarms">
            <h2 id="now-alarms" class="unseen">
              Alarms
            </h2>
            {standing.map((alarm) =>
              alarm.state === "unacknowledged" ? (
                <AlarmCard key={alarm.name} alarm={alarm} />
              ) : (
                <p key={alarm.name} class="notice">
                  <ToneMark tone="note" />
                  <span>
                    <b>{sentenceCase(alarm.title)}</b> for {roughDuration(now_s.value - alarm.from_s)}:{" "}
                    {answeredWord(alarm)}. <a href="#alarms">See Alarms</a>.
                  </span>
                </p>
              ),
            )}
            {aside.map(({ name, title, until_s, by }) => (
              <p key={`${name} ${until_s}`} class="notice">
                <ToneMark tone="note" />
                <span>
                  <b>{sentenceCase(title)}</b>:{" "}
                  {until_s === null ? "out of service" : `shelved until ${dayAndClock(until_s)}`}
                  {by !== null && `, by ${by}`}. Nobody is told of it. <a href="#alarms">See Alarms</a>.
                </span>
              </p>
            ))}
          </section>
        )}
      </div>
      <section class="basin-box" aria-label="The basin">
        <BasinSection basin={basin} situation={situation} stale={stale} />
      </section>
      <div class="now-figures">
        <Figures state={state} />
        <Trend />
      </div>
      <section class="now-findings" aria-labelledby="open-title">
        <h2 id="open-title">Open findings</h2>
        {situation.openFindings.length === 0 && <p class="quiet">{noFindings(situation.time_s === null, stale)}</p>}
        {byUrgency(situation.openFindings).map((finding) =>
          finding.severity === "critical" ? (
            <FindingCard key={`${finding.kind}${finding.from_s}`} finding={finding} />
          ) : (
            <FindingLine key={`${finding.kind}${finding.from_s}`} finding={finding} />
          ),
        )}
      </section>
      <Instruments state={state} />
    </div>
  );
}

/** What is not read is not known to be well. */
function noFindings(nothingRead: boolean, stale: boolean): string {
  if (nothingRead) return "None known: no reading has come yet.";
  return stale
    ? "None at the last reading; what came after is not known."
    : "None. Nothing about the basin calls for you.";
}
