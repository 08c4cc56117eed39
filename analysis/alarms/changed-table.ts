// The table of alarms with what a site changes of it.

import type { AlarmDefinition, AlarmName, Priority } from "./alarm.ts";
import { alarmTable } from "./alarm-table.ts";

export interface AlarmChanges {
  readonly priority?: Priority;
  readonly onDelay_s?: number;
  readonly offDelay_s?: number;
  readonly latching?: boolean;
  /** False: it stands on the page and nobody is told. */
  readonly tell?: boolean;
}

export function changedTable(changes: Readonly<Partial<Record<AlarmName, AlarmChanges>>>): readonly AlarmDefinition[] {
  return alarmTable.map((definition) => {
    const { tell: _, ...change } = changes[definition.name] ?? {};
    // What nobody is told of speaks for nothing else.
    const saidBy = definition.saidBy.filter((cause) => changes[cause]?.tell !== false);
    return { ...definition, saidBy, ...change };
  });
}
