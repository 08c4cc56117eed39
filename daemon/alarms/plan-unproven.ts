// A monthly proof that did not get through is told by another way: to the contact itself where it has one, else to the
// others. Pure.

import type { AlarmsConfig } from "./alarms-config.ts";
import type { MessageRow, NewMessage } from "./outbox/message-row.ts";
import { notInQuietHours } from "./quiet-hours.ts";

const expiresAfter_s = 3 * 86_400;

/**
 * @param row the proof, given up
 * @returns nothing where nobody else is reached: then the page alone says it
 */
export function planUnproven(row: MessageRow, { contacts }: AlarmsConfig, timezone: string): NewMessage[] {
  const { key, contact: name, onlyBy: by, reason, expires_s } = row;
  const hasAnother = ({ reach }: (typeof contacts)[number]) => reach.some((way) => way.by !== by);
  const itself = contacts.filter((each) => each.name === name && hasAnother(each));
  const told = itself.length > 0 ? itself : contacts.filter((each) => each.name !== name);
  return told.map((contact, i) => {
    const due_s = notInQuietHours(expires_s, contact, "low", timezone);
    return {
      key: `un${key}-${i}`,
      ...{ kind: "unproven", alarm: null, occurrence: "", priority: "low", contact: contact.name, onlyBy: null },
      ...{ due_s, expires_s: due_s + expiresAfter_s, from_s: null, to_s: null },
      facts: { contact: name, by, reason },
    };
  });
}
