// The services of a basin, as they are entered on the page: kept with the alarms, which remind of the next.

import type { AlarmsConfig } from "./alarms-config.ts";
import { dayOf, lastService, serviceDue_s } from "./care/service-due.ts";
import type { Outbox } from "./outbox/outbox.ts";

export interface ServiceBook {
  /** Day of the last as entered, `2026-05-01`; null: none was. */
  entered(): string | null;
  view(): ServiceView;
  /** One that was done today. */
  enter(by: string): void;
}

export interface ServiceView {
  /** Day of the last, entered or in the site file; null: none is known, and nothing reminds of the next. */
  readonly last: string | null;
  /** Who entered it; null: it stands in the site file, or nobody said. */
  readonly by: string | null;
  readonly due_s: number | null;
}

export function openServiceBook(
  outbox: Pick<Outbox, "note" | "setNote">,
  config: Pick<AlarmsConfig, "service">,
  { timezone, now_s }: { readonly timezone: string; readonly now_s: () => number },
): ServiceBook {
  const entered = () => outbox.note("last-service");
  return {
    entered,
    view() {
      const last = lastService(entered(), config);
      const by = last === entered() ? outbox.note("last-service-by") : null;
      return { last, by: by || null, due_s: serviceDue_s(entered(), config, timezone) };
    },
    enter(by) {
      outbox.setNote("last-service", dayOf(now_s(), timezone));
      outbox.setNote("last-service-by", by);
    },
  };
}
