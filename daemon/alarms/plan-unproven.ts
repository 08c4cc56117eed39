// A monthly proof that did not get through is told by another way: to the contact itself where it has one, else to the
// others. Pure.

import type { AlarmsConfig, Contact } from "./alarms-config.ts";
import type { HouseTime } from "./house-time.ts";
import type { MessageRow, NewMessage } from "./outbox/message-row.ts";
import { notInQuietHours } from "./quiet-hours.ts";

const expiresAfter_s = 3 * 86_400;

/**
 * @param row      the proof, given up
 * @param hasWords whether anything can be explained by a channel: a sounder would only alarm people
 * @returns nothing where nobody else is reached: then the page alone says it
 */
export function planUnproven(
  row: MessageRow,
  { contacts }: Pick<AlarmsConfig, "contacts">,
  hasWords: (by: string) => boolean,
  house: HouseTime,
): NewMessage[] {
  const { key, contact: name, onlyBy: by, reason, expires_s } = row;
  const isReached = ({ reach }: Contact, but: string | null) => reach.some((way) => way.by !== but && hasWords(way.by));
  const itself = contacts.filter((each) => each.name === name && isReached(each, by));
  const told = itself.length > 0 ? itself : contacts.filter((each) => each.name !== name && isReached(each, null));
  return told.map((contact, i) => {
    const due_s = notInQuietHours(expires_s, contact, "low", house);
    return {
      key: `un${key}-${i}`,
      ...{ kind: "unproven", alarm: null, occurrence: "", priority: "low", contact: contact.name, onlyBy: null },
      ...{ due_s, expires_s: due_s + expiresAfter_s, from_s: null, to_s: null },
      facts: { contact: name, by, reason },
    };
  });
}
