// What is amiss with the instruments, in a line each for the first screen; the list below it has the particulars. Pure.

import type { AlarmTrouble } from "../daemon/server/alarms-types.ts";
import type { LiveState } from "../daemon/server/api-types.ts";
import { troubleLines } from "./call-words.ts";
import { duration, roughDuration } from "./format.ts";

/** A wall clock off by less than this is not worth a line. */
export const tellingStep_s = 2;

export function notices({ sources, store, wallStep_s, publisher, forward, alarmTrouble, now_s }: LiveState): string[] {
  const failed = sources.filter((source) => source.state === "waiting-to-retry").map((source) => source.name);
  const lines = failed.map((name) => `${name} has failed and will be tried again.`);
  if (store.state === "holding") lines.push("The store cannot write. Readings wait in memory.");
  if (store.lost > 0) lines.push(`${store.lost.toLocaleString("en")} readings could not be kept.`);
  if (publisher?.error) lines.push("Nothing is published: other systems do not hear of this basin.");
  if (alarmTrouble && troubleLines(alarmTrouble).length > 0) lines.push(trouble(alarmTrouble));
  const lag_s = lateBy_s(forward, now_s);
  if (lag_s !== null)
    lines.push(`The shared database lacks the last ${roughDuration(lag_s)}; they wait on this board.`);
  if (Math.abs(wallStep_s) > tellingStep_s) {
    const way = wallStep_s > 0 ? "forward" : "back";
    lines.push(`The clock was set ${way} by ${duration(Math.abs(wallStep_s))}; times here keep the old count.`);
  }
  return lines;
}

function trouble({ unreached }: AlarmTrouble): string {
  return unreached.length > 0
    ? `Alarms do not reach ${unreached.join(" and ")}: see Alarms.`
    : "Somebody might not be told of an alarm: see Alarms.";
}

/** The database is away now and then: less is not worth a line. */
const tellingLag_s = 3600;

function lateBy_s(forward: LiveState["forward"], now_s: number): number | null {
  if (!forward || forward.oldest_s === null || now_s - forward.oldest_s < tellingLag_s) return null;
  return now_s - forward.oldest_s;
}
