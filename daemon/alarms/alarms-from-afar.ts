// What whoever looks from afar is told of the alarms beside those that last: what is put aside, who did what, and when the
// next service is due.

import type { AlarmDefinition } from "../../analysis/alarms/alarm.ts";
import type { AlarmRecord, SetAside } from "../../analysis/alarms/alarm-record.ts";
import type { AlarmAside, AlarmDeed } from "../server/alarms-types.ts";
import { deedsOf } from "./deeds-shown.ts";
import type { Outbox } from "./outbox/outbox.ts";
import { messagesLookedAt } from "./outbox-shown.ts";
import type { ServiceBook } from "./service-book.ts";

const deedsTold = 12;
const lookBack_s = 30 * 86_400;

export interface ToldFromAfar {
  readonly aside: readonly AlarmAside[];
  readonly done: readonly AlarmDeed[];
  /** Days of the last service and of the next, `2026-05-01`; null: none is known. */
  readonly service: { readonly last: string; readonly due: string } | null;
}

export function alarmsFromAfar(
  alarms: readonly AlarmRecord[],
  definitions: readonly AlarmDefinition[],
  outbox: Pick<Outbox, "journal" | "messages">,
  services: Pick<ServiceBook, "view">,
  now_s: number,
): ToldFromAfar {
  const done = deedsOf(outbox.journal(now_s - lookBack_s), outbox.messages(messagesLookedAt), definitions);
  const { last, due } = services.view();
  return {
    aside: asideOf(alarms, definitions),
    done: done.slice(0, deedsTold),
    service: last === null || due === null ? null : { last, due },
  };
}

/** One that is both shelved and out of service stands there twice: it comes back when it is neither. */
export function asideOf(alarms: readonly AlarmRecord[], definitions: readonly AlarmDefinition[]): AlarmAside[] {
  return definitions.flatMap(({ name, title }) => {
    const record = alarms.find((each) => each.name === name);
    if (record === undefined) return [];
    const { outOfService, takenOut, shelvedUntil_s, shelved } = record;
    const put = (who: SetAside | null, until_s: number | null): AlarmAside => ({
      ...{ name, title, until_s },
      ...{ since_s: who?.at_s ?? null, by: who?.by ?? null, reason: who?.reason ?? null },
    });
    return [
      ...(outOfService ? [put(takenOut, null)] : []),
      ...(shelvedUntil_s === null ? [] : [put(shelved, shelvedUntil_s)]),
    ];
  });
}
