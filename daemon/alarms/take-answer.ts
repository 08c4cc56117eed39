// What an answer that comes in by a channel does: whoever was told sees to what it means; whoever errs is told so.

import { type AlarmRecord, occurrenceKey } from "../../analysis/alarms/alarm-record.ts";
import { isActive } from "../../analysis/alarms/alarm-state.ts";
import type { AlarmsConfig, Contact } from "./alarms-config.ts";
import { answeredInVain } from "./answered-in-vain.ts";
import { contactsAt, readAnswer } from "./answers.ts";
import type { NewMessage } from "./outbox/message-row.ts";
import type { Outbox } from "./outbox/outbox.ts";
import { messagesLookedAt } from "./outbox-shown.ts";

export interface AnswerParts {
  readonly config: Pick<AlarmsConfig, "contacts">;
  readonly outbox: Pick<Outbox, "messages" | "toldOf">;
  readonly now_s: () => number;
  alarms(): readonly AlarmRecord[];
  /** What a message tells of, as far as it is still the latest occurrence. */
  toldBy(message: number): readonly AlarmRecord[];
  acknowledge(name: AlarmRecord["name"], by: string, channel: string): void;
  writeBack(messages: readonly NewMessage[]): void;
  log(line: string): void;
}

export function takeAnswer(from: string, text: string, channel: string, parts: AnswerParts): void {
  const said = readAnswer(text);
  const contacts = contactsAt(from, parts.config.contacts);
  if (said === undefined || contacts.length === 0) {
    parts.log(
      `alarms: an answer from ${from} was not understood, or is from no contact: ${JSON.stringify(text.slice(0, 80))}`,
    );
    return;
  }
  // A number that was never given, or of what is over, acknowledges nothing else: the next person is called.
  const meant = said === null ? toldTo(contacts, parts) : parts.toldBy(said);
  for (const { name } of meant) parts.acknowledge(name, contacts[0]?.name ?? from, channel);
  if (meant.length > 0) return;
  parts.log(`alarms: an answer from ${from} belongs to no alarm that lasts: ${text.trim().slice(0, 80)}`);
  const waits = contacts.find((each) => toldTo([each], parts).some(({ state }) => state === "unacknowledged"));
  if (said === null || waits === undefined) return;
  parts.writeBack(answeredInVain(waits.name, channel, said, parts.outbox.messages(messagesLookedAt), parts.now_s()));
}

/** What lasts of what any of these contacts was told of. */
function toldTo(contacts: readonly Contact[], { alarms, outbox, now_s }: AnswerParts): AlarmRecord[] {
  return alarms().filter((alarm) => {
    if (!isActive(alarm.state)) return false;
    const told = outbox.toldOf(occurrenceKey(alarm), now_s());
    return contacts.some(({ name }) => told.includes(name));
  });
}
