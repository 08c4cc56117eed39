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
  serviced: "entered",
  "service-undone": "taken back",
};

/** `answered by Ann, by a reply through modem`; begins without a capital. */
export function deedWord(deed: AlarmDeed, clock: (time_s: number) => string): string {
  const { kind, until_s, reason } = deed;
  if (kind === "serviced") return `done on ${dayWord(reason)}, ${words[kind]}${who(deed)}`;
  if (kind === "service-undone") return `entry of ${dayWord(reason)} ${words[kind]}${who(deed)}`;
  const done = kind === "unshelved" && deed.by === null ? "off the shelf again, its time was over" : words[kind];
  const until = until_s === null ? "" : ` until ${clock(until_s)},`;
  return `${done}${until}${who(deed)}${reason === null ? "" : `: ${reason}`}`;
}

/** What `tested` is of: `Neighbour by mail`. */
export function testedWord({ contact, via, by }: AlarmDeed): string {
  return `${contact ?? "somebody"}${via ? ` by ${via}` : ""}${by === null ? "" : `, asked for by ${by}`}`;
}

/** `1 May 2026`, of `2026-05-01`. */
export function dayWord(day: string | null): string {
  if (day === null || Number.isNaN(Date.parse(day))) return "a day that is not known";
  return new Intl.DateTimeFormat("en-GB", { dateStyle: "medium", timeZone: "UTC" }).format(Date.parse(day));
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
