// Says now and then what of the broker was left out, so that a board which publishes what nobody can read is found.

import type { Refused } from "./basins.ts";

const every_ms = 60_000;

/** @returns ends it */
export function sayRefused(refused: () => Refused, log: (line: string) => void): () => void {
  let said = refused();
  const timer = setInterval(() => {
    const line = refusedSince(said, refused());
    said = refused();
    if (line !== null) log(line);
  }, every_ms).unref();
  return () => clearInterval(timer);
}

/** Null: nothing was. */
export function refusedSince(before: Refused, now: Refused): string | null {
  const messages = now.messages - before.messages;
  const strangers = now.strangers - before.strangers;
  if (messages + strangers === 0) return null;
  const parts = [
    ...(messages > 0 ? [`${messages} that no board says, or too many in a second`] : []),
    ...(strangers > 0 ? [`${strangers} under names that cannot be, or one too many`] : []),
  ];
  return `broker: messages left out in the last minute: ${parts.join("; ")}; the last: ${JSON.stringify(now.last?.slice(0, 100))}`;
}
