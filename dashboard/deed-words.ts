// What was done about an alarm, and what it did by itself, in plain words: who, by which way, why, until when. Pure.

import type { AlarmDeed } from "../daemon/server/alarms-types.ts";

/** Of what happened by itself, and of what people do: `by Ann` goes after it. */
const words: Readonly<Record<AlarmDeed["kind"], string>> = {
  raised: "announced",
  worse: "got worse",
  over: "over",
  suppressed: "left to its cause to say",
  unsuppressed: "told by itself again",
  acknowledged: "answered",
  reset: "reset",
  shelved: "shelved",
  unshelved: "taken off the shelf",
  "out-of-service": "taken out of service",
  "in-service": "put back in service",
  tested: "tested",
};

/** `answered by Ann, by a reply through modem`; begins without a capital. */
export function deedWord(deed: AlarmDeed, clock: (time_s: number) => string): string {
  const { kind, until_s, reason } = deed;
  const done = kind === "unshelved" && deed.by === null ? "off the shelf again, its time was over" : words[kind];
  const until = until_s === null ? "" : ` until ${clock(until_s)},`;
  return `${done}${until}${who(deed)}${reason === null ? "" : `: ${reason}`}`;
}

/** What `tested` is of: `Neighbour by mail`. */
export function testedWord({ contact, via, by }: AlarmDeed): string {
  return `${contact ?? "somebody"}${via ? ` by ${via}` : ""}${by === null ? "" : `, asked for by ${by}`}`;
}

function who({ by, via }: AlarmDeed): string {
  if (by === null) return "";
  // Whoever gives no name is called after the way.
  if (by === "the page") return " on the page, without a name";
  return ` by ${by}${way(via)}`;
}

function way(via: string | null): string {
  if (via === "page") return ", on the page";
  if (via === "link") return ", by the link in a message";
  if (via === "afar") return ", from afar";
  return via === null ? "" : `, by a reply through ${via.replace(/^channel /, "")}`;
}
