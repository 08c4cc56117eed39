// Who is told of an alarm, in which order and by which way, in words.

import type { CallStep, Contact } from "../alarms/alarms-config.ts";
import { durationInWords } from "./duration-in-words.ts";
import type { SiteFile } from "./site-file.ts";

/** No lines for a site that watches nothing and tells nobody: a recording is analysed with it. */
export function describeAlarms({ alarms, publish, sources }: SiteFile): string[] {
  const { contacts, call, callAgain, heartbeat } = alarms;
  if (contacts.length === 0) {
    return sources.length === 0
      ? []
      : ["Nobody: whatever happens stands on the page alone. `alarms:` says whom to call, and how."];
  }
  const lines = call.map((step, index) => describeStep(step, index, contacts));
  if (callAgain.times > 0)
    lines.push(
      `While nobody answers what is urgent they are called again, first after ${durationInWords(callAgain.after_s)}.`,
    );
  if (heartbeat === null && publish.mqtt === null)
    lines.push("If the board itself dies nobody is told of it: `alarms.heartbeat` lets another machine notice.");
  lines.push("Prove it: `undercroft alarms test`, now and after each change.");
  return lines;
}

function describeStep({ contacts: names, after_s }: CallStep, index: number, contacts: readonly Contact[]): string {
  const when = index === 0 && after_s === 0 ? "First" : `If nobody has answered after ${durationInWords(after_s)}`;
  return `${when}: ${names.map((name) => describeContact(name, contacts)).join("; ")}.`;
}

function describeContact(name: string, contacts: readonly Contact[]): string {
  const contact = contacts.find((each) => each.name === name);
  if (contact === undefined) return name;
  const ways = contact.reach.map(({ by }) => by).join(", then ");
  return `${name} by ${ways}${contact.quiet === null ? "" : ", in quiet hours only of what is urgent"}`;
}
