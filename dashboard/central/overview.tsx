// All basins: what calls for someone in one sentence, how many are how, then one line for each, most urgent first.

import { computed, signal } from "@preact/signals";
import { useEffect, useRef } from "preact/hooks";
import type { Tier } from "../../daemon/central/urgency.ts";
import { ToneMark } from "../parts/severity-mark.tsx";
import { TellThisPhone } from "../phones/tell-this-phone.tsx";
import { siteTime } from "../site-time.ts";
import { alarmsOf, isAnswered } from "./alarm-order.ts";
import { arrange, countTiers, groupsOf, type Part, type Wish } from "./arrange.ts";
import { BasinLine } from "./basin-line.tsx";
import { headline, tierShort, tiers, tierWords, toneOf } from "./condition-words.ts";
import { about, rows } from "./hear.ts";
import { StandingAlarms } from "./standing-alarms.tsx";

const wish = signal<Wish>({ words: "", tier: null, group: null, byGroup: false });
const parts = computed(() => arrange(rows.value.values(), wish.value));
const counts = computed(() => countTiers(rows.value.values()));
const unanswered = computed(() => alarmsOf(rows.value.values()).filter(({ alarm }) => !isAnswered(alarm)).length);
const groups = computed(() => groupsOf(rows.value.values()));

/** So many lines are drawn at first, and so many more whenever the reader comes near their end. */
const firstLines = 60;
const moreLines = 120;
const drawn = signal(firstLines);

function want(change: Partial<Wish>): void {
  wish.value = { ...wish.value, ...change };
  drawn.value = firstLines;
}

export function Overview() {
  if (about.value === null) return <p class="waiting">Asking the central view…</p>;
  const found = parts.value.reduce((sum, part) => sum + part.rows.length, 0);
  const { tone, text } = headline(counts.value, unanswered.value);
  return (
    <>
      <section class={`sentence tone-${tone}`} aria-label="What is true now">
        <ToneMark tone={tone} />
        <h1 aria-live="polite">{text}</h1>
      </section>
      <Counts />
      <StandingAlarms rows={parts.value.flatMap((part) => part.rows)} />
      <details class="phones-fold">
        <summary>Tell this phone what calls for somebody</summary>
        <TellThisPhone when={siteTime(about.value.view.timezone).dayAndClock} />
      </details>
      <Tools />
      <p class="found quiet" role="status">
        {found === rows.value.size
          ? basinCount(found)
          : `${basinCount(found)} of ${rows.value.size.toLocaleString("en")}`}
        , most urgent first
      </p>
      <Lines parts={parts.value} limit={drawn.value} />
      {found === 0 && <Nothing />}
      {found > drawn.value && <More left={found - drawn.value} />}
    </>
  );
}

function Counts() {
  return (
    <fieldset class="counts">
      <legend class="unseen">How many basins stand how; choose one to see only those</legend>
      {tiers.map((tier) => (
        <Count key={tier} tier={tier} count={counts.value[tier]} />
      ))}
    </fieldset>
  );
}

function Count({ tier, count }: { tier: Tier; count: number }) {
  const chosen = wish.value.tier === tier;
  return (
    <button
      type="button"
      class={`tier tier-${tier} ${count === 0 ? "none" : ""}`}
      aria-pressed={chosen}
      aria-label={`${count} ${tierWords[tier][count === 1 ? 0 : 1]}`}
      onClick={() => want({ tier: chosen ? null : tier })}
    >
      <ToneMark tone={toneOf[tier]} />
      <b>{count.toLocaleString("en")}</b> <span>{tierShort[tier]}</span>
    </button>
  );
}

function Tools() {
  const { words, group, byGroup } = wish.value;
  return (
    <search class="tools">
      <label class="find">
        <span class="unseen">Find a basin by name, place, customer or contact</span>
        <input
          type="search"
          placeholder="Find by name, place or customer"
          value={words}
          onInput={({ currentTarget }) => want({ words: currentTarget.value })}
        />
      </label>
      {groups.value.length > 1 && (
        <>
          <label>
            <span class="unseen">Group</span>
            <select
              value={group ?? ""}
              onChange={({ currentTarget }) => want({ group: currentTarget.value === "" ? null : currentTarget.value })}
            >
              <option value="">All groups</option>
              {groups.value.map((name) => (
                <option key={name} value={name}>
                  {name}
                </option>
              ))}
            </select>
          </label>
          <button type="button" aria-pressed={byGroup} onClick={() => want({ byGroup: !byGroup })}>
            By group
          </button>
        </>
      )}
    </search>
  );
}

function Lines({ parts: all, limit }: { parts: readonly Part[]; limit: number }) {
  let left = limit;
  return (
    <>
      {all.map(({ group, rows: its }) => {
        const shown = its.slice(0, left);
        left -= shown.length;
        if (shown.length === 0) return null;
        const list = (
          <ul class="lines">
            {shown.map((row) => (
              <BasinLine key={row.name} row={row} inGroup={group !== null} />
            ))}
          </ul>
        );
        return group === null ? (
          list
        ) : (
          <section key={group} class="group">
            <h2>
              {group} <span class="quiet">{groupWords(countTiers(its), its.length)}</span>
            </h2>
            {list}
          </section>
        );
      })}
    </>
  );
}

function groupWords(its: Readonly<Record<Tier, number>>, all: number): string {
  const words = (tier: Tier) => `${its[tier]} ${tierWords[tier][its[tier] === 1 ? 0 : 1]}`;
  const telling = (["now", "silent", "soon"] as const).filter((tier) => its[tier] > 0).map(words);
  return [basinCount(all), ...telling].join(" · ");
}

function Nothing() {
  const { words, tier, group } = wish.value;
  if (rows.value.size === 0) return null;
  const narrowed = words !== "" || tier !== null || group !== null;
  return (
    <p class="waiting">
      No basin fits.{" "}
      {narrowed && (
        <button type="button" class="plain" onClick={() => want({ words: "", tier: null, group: null })}>
          Show all
        </button>
      )}
    </p>
  );
}

/** Draws more when the reader comes near, or on the button. */
function More({ left }: { left: number }) {
  const button = useRef<HTMLButtonElement>(null);
  const more = () => {
    drawn.value += moreLines;
  };
  useEffect(() => {
    const seen = new IntersectionObserver((entries) => entries.some(({ isIntersecting }) => isIntersecting) && more(), {
      rootMargin: "600px",
    });
    if (button.current) seen.observe(button.current);
    return () => seen.disconnect();
    // Anew each time: a button that stays near is not told twice.
  }, [left]);
  return (
    <button ref={button} type="button" class="more" onClick={more}>
      Show more ({left.toLocaleString("en")} left)
    </button>
  );
}

function basinCount(count: number): string {
  return `${count.toLocaleString("en")} ${count === 1 ? "basin" : "basins"}`;
}
