// One basin in one line: what is true, since when, what to do, and whom to call. Opens the basin's own page.

import type { Condition, OverviewRow } from "../../daemon/central/central-types.ts";
import { quantity } from "../format.ts";
import { ToneMark } from "../parts/severity-mark.tsx";
import { units } from "../preferences.ts";
import { answerWord, asideWord, isAnswered } from "./alarm-order.ts";
import { tierOf } from "./arrange.ts";
import { adviceOf, sinceOf, titleOf, toneOf } from "./condition-words.ts";
import { about, now_s, pulseOf } from "./hear.ts";

export interface BasinLineProps {
  readonly row: OverviewRow;
  /** Its group stands above. */
  readonly inGroup: boolean;
}

export function BasinLine({ row, inGroup }: BasinLineProps) {
  const tier = tierOf(row);
  const [first, ...others] = row.conditions;
  if (first === undefined) return null;
  const advice = adviceOf(first, row);
  const timezone = about.value?.view.timezone ?? "UTC";
  const where = [inGroup ? null : row.group, row.place, row.customer].filter((part) => part !== null).join(" · ");
  return (
    <li class={`line line-${tier}`}>
      <ToneMark tone={toneOf[tier]} />
      <div class="line-name">
        <a href={`basins/${row.name}/`}>{row.title}</a>
        {where !== "" && <span class="quiet">{where}</span>}
        {!row.enrolled && <span class="tag">not enrolled</span>}
        {row.invented && <span class="tag">invented readings</span>}
      </div>
      <div class="line-true">
        <b>{titleOf(first)}</b>
        {tier !== "well" && <Since condition={first} row={row} />}
        {row.alarms[0] !== undefined && row.alarms.every(isAnswered) && (
          <span class="line-others">{answerWord(row.alarms[0])}</span>
        )}
        {row.aside.map((each) => (
          <span key={`${each.title} ${each.until_s}`} class="line-others">
            {asideWord(each, timezone)}
          </span>
        ))}
        {others.length > 0 && (
          <span class="line-others">also: {others.map((other) => lower(titleOf(other))).join("; ")}</span>
        )}
      </div>
      <div class="line-do">
        {advice && <p>{advice}</p>}
        {tier !== "well" && row.contact && <p class="quiet">Contact: {row.contact}</p>}
      </div>
      <PulseFigure
        name={row.name}
        stale={row.conditions.some(({ kind }) => kind === "silent" || kind === "not-heard-yet")}
      />
    </li>
  );
}

/** By itself, for it goes on with time. */
function Since({ condition, row }: { condition: Condition; row: OverviewRow }) {
  const since = sinceOf(condition, row, now_s.value);
  if (since === "") return null;
  return (
    <>
      , <span class="line-since">{since}</span>
    </>
  );
}

/** By itself, so that a level that moves draws no more than this anew. */
function PulseFigure({ name, stale }: { name: string; stale: boolean }) {
  const [, level_m, pumpRunning] = pulseOf(name).value;
  const level = level_m === null ? null : quantity(level_m, "level", units.value);
  if (stale) return <div class="line-pulse quiet">{level && `was ${level}`}</div>;
  return (
    <div class="line-pulse">
      <span>{level}</span>
      {pumpRunning !== null && <span class="quiet">{pumpRunning ? "pump runs" : "pump rests"}</span>}
    </div>
  );
}

function lower(title: string): string {
  return title.charAt(0).toLowerCase() + title.slice(1);
}
