// What the boards call people for now, of every basin that is shown: who is seeing to it, and a button for whoever will.

import { signal } from "@preact/signals";
import type { OverviewRow } from "../../daemon/central/central-types.ts";
import { sentenceCase } from "../alarm-words.ts";
import { roughDuration } from "../format.ts";
import { ToneMark } from "../parts/severity-mark.tsx";
import { type AlarmOfBasin, alarmsOf, alarmsSentence, answerWord, isAnswered } from "./alarm-order.ts";
import { acknowledge, now_s, session } from "./hear.ts";

const firstShown = 4;
const all = signal(false);
/** Of an answer that did not get through: which, and why. */
const failure = signal<{ readonly of: string; readonly words: string } | null>(null);

const toneOf = { high: "act", medium: "watch", low: "note" } as const;

export function StandingAlarms({ rows }: { rows: readonly OverviewRow[] }) {
  const alarms = alarmsOf(rows);
  if (alarms.length === 0) return null;
  const shown = all.value ? alarms : alarms.slice(0, firstShown);
  return (
    <section class="standing" aria-labelledby="standing-title">
      <h2 id="standing-title">{alarmsSentence(alarms)}</h2>
      <ul>
        {shown.map((each) => (
          <Line key={keyOf(each)} each={each} />
        ))}
      </ul>
      {alarms.length > firstShown && (
        <button type="button" aria-expanded={all.value} onClick={() => (all.value = !all.value)}>
          {all.value ? "Show fewer" : `Show all ${alarms.length.toLocaleString("en")} alarms`}
        </button>
      )}
    </section>
  );
}

function Line({ each }: { each: AlarmOfBasin }) {
  const { row, alarm } = each;
  const title = sentenceCase(alarm.title);
  const failed = failure.value?.of === keyOf(each) ? failure.value.words : null;
  return (
    <li>
      <ToneMark tone={toneOf[alarm.priority]} />
      <div>
        <p>
          <b>{title}</b> for <Since since_s={alarm.since_s} />
        </p>
        <p class="quiet">
          <a href={`basins/${row.name}/`}>{row.title}</a> · {answerWord(alarm)}
        </p>
        {failed !== null && (
          <p class="fault" role="alert">
            {failed}
          </p>
        )}
      </div>
      {mayAnswer(row) && !isAnswered(alarm) && (
        <button type="button" aria-label={`I'll see to it: ${title}, ${row.title}`} onClick={() => void answer(each)}>
          I'll see to it
        </button>
      )}
    </li>
  );
}

/** By itself, for it goes on with time. */
function Since({ since_s }: { since_s: number }) {
  return <>{roughDuration(Math.max(0, now_s.value - since_s))}</>;
}

/** Whose log-in may, where the board lets them; without log-ins whoever sits at the machine. */
function mayAnswer({ takesAnswers }: OverviewRow): boolean {
  return takesAnswers && session.value?.login?.answers !== false;
}

async function answer(each: AlarmOfBasin): Promise<void> {
  const words = await acknowledge(each.row.name, each.alarm.name, each.alarm.from_s);
  failure.value = words === null ? null : { of: keyOf(each), words };
}

function keyOf({ row, alarm }: AlarmOfBasin): string {
  return `${row.name} ${alarm.name} ${alarm.from_s}`;
}
