// Where a file goes that is in the way but must not be lost: beside its place, under a name with the date.

import { existsSync } from "node:fs";

/** A name that nothing has yet: `record.sqlite.damaged-2026-03-04T06-10-00`, then with `-2` and so on. */
export function asideName(path: string, why: "damaged" | "before" | "aside", now_s: number): string {
  const name = `${path}.${why}-${new Date(now_s * 1000).toISOString().replaceAll(":", "-").slice(0, 19)}`;
  for (let count = 1; ; count++) {
    const free = count === 1 ? name : `${name}-${count}`;
    if (!existsSync(free)) return free;
  }
}
