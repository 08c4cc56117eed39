// What is amiss with the instruments, in a line each for the first screen; the list below it has the particulars. Pure.

import type { LiveState } from "../daemon/server/api-types.ts";
import { duration } from "./format.ts";

/** A wall clock off by less than this is not worth a line. */
export const tellingStep_s = 2;

export function notices({ sources, store, wallStep_s, publisher }: LiveState): string[] {
  const failed = sources.filter((source) => source.state === "waiting-to-retry").map((source) => source.name);
  const lines = failed.map((name) => `${name} has failed and will be tried again.`);
  if (store.state === "holding") lines.push("The store cannot write. Readings wait in memory.");
  if (store.lost > 0) lines.push(`${store.lost.toLocaleString("en")} readings could not be kept.`);
  if (publisher?.error) lines.push("Nothing is published: other systems do not hear of this basin.");
  if (Math.abs(wallStep_s) > tellingStep_s) {
    const way = wallStep_s > 0 ? "forward" : "back";
    lines.push(`The clock was set ${way} by ${duration(Math.abs(wallStep_s))}; times here keep the old count.`);
  }
  return lines;
}
