// The services of a basin, as they are entered on the page and taken back there: kept with the alarms, which remind of the
// next. What people enter stands in the journal, too.

import * as z from "zod";
import type { AlarmsConfig } from "./alarms-config.ts";
import { dueAfter, lastService, morningOf } from "./care/service-due.ts";
import { dayOnTheWall, type HouseTime } from "./house-time.ts";
import type { JournalEntry } from "./outbox/journal-entry.ts";
import type { Outbox } from "./outbox/outbox.ts";

export interface ServiceBook {
  view(): ServiceView;
  /** When the next is due, without the rest of the view: it is asked for at every look at the alarms. */
  due_s(): number | null;
  /**
   * One that was done.
   *
   * @param day null: today
   * @throws {RangeError} for a day that is still to come, or of before all that are kept
   */
  enter(by: string, day?: string | null): void;
  /**
   * The entry of that day was a slip: the one before it is the last again.
   *
   * @throws {RangeError} where none was entered for that day
   */
  takeBack(by: string, day: string): void;
}

export interface ServiceView {
  /** Day of the last, entered or in the site file; null: none is known, and nothing reminds of the next. */
  readonly last: string | null;
  /** Whether that was entered, and so can be taken back; else it stands in the site file. */
  readonly entered: boolean;
  /** Who entered it; null: nobody said. */
  readonly by: string | null;
  /** Day of the next, and when in its morning that is due; null: none is known. */
  readonly due: string | null;
  readonly due_s: number | null;
  /** By the clock on the wall: a later one cannot be entered. */
  readonly today: string;
}

const services = z.array(z.object({ day: z.iso.date(), by: z.string() }));
type Services = z.output<typeof services>;

interface Next {
  readonly day: string;
  readonly morning_s: number;
}

/** Of before the last one only so much is wanted that a slip can be taken back. */
const servicesKept = 10;

export function openServiceBook(
  outbox: Pick<Outbox, "note" | "setNote" | "keep" | "together">,
  config: Pick<AlarmsConfig, "service">,
  around: { readonly house: HouseTime; readonly now_s: () => number; onChange?(): void },
): ServiceBook {
  const { house, now_s, onChange = () => {} } = around;
  const today = () => dayOnTheWall(now_s(), house);
  let reckoned: { readonly from: string | null; readonly last: string | null; readonly next: Next | null } | undefined;

  /** Anew when another note of services stands there. */
  function reckon() {
    const from = outbox.note("services") ?? outbox.note("last-service");
    if (reckoned?.from === from) return reckoned;
    const last = lastService(kept(outbox).at(-1)?.day ?? null, config);
    const day = last === null ? null : dueAfter(last, config.service.every_s);
    reckoned = { from, last, next: day === null ? null : { day, morning_s: morningOf(day, house.timezone) } };
    return reckoned;
  }

  function due_s(): number | null {
    const { next } = reckon();
    return next === null ? null : next.morning_s - house.ahead_s(now_s());
  }

  function set(kind: "serviced" | "service-undone", by: string, day: string, now: Services): void {
    const entry: JournalEntry = {
      ...{ at_s: now_s(), kind, alarm: "service-due", occurrence: "", priority: "low", by, via: "page" },
      ...{ reason: day, until_s: null },
    };
    outbox.together(() => {
      outbox.setNote("services", JSON.stringify(now.slice(-servicesKept)));
      outbox.keep({ alarms: [], journal: [entry], now_s: entry.at_s });
    });
    onChange();
  }

  return {
    view() {
      const newest = kept(outbox).at(-1) ?? null;
      const { last, next } = reckon();
      const isEntered = newest !== null && last === newest.day;
      const by = isEntered && newest.by !== "" ? newest.by : null;
      return { last, entered: isEntered, by, due: next?.day ?? null, due_s: due_s(), today: today() };
    },
    due_s,
    enter(by, day = null) {
      const latest = today();
      const done = day ?? latest;
      if (done > latest) throw new RangeError(`day: expected ${latest} or one before, found ${done}`);
      const before = kept(outbox);
      if (before.some((each) => each.day === done)) return; // pressed twice
      const all = [...before, { day: done, by }].toSorted((a, b) => a.day.localeCompare(b.day));
      const oldest = all.at(-servicesKept)?.day ?? "";
      if (done < oldest)
        throw new RangeError(`day: expected one after ${oldest}, for the last ${servicesKept} are kept; found ${done}`);
      set("serviced", by, done, all);
    },
    takeBack(by, day) {
      const before = kept(outbox);
      const left = before.filter((each) => each.day !== day);
      if (left.length === before.length) throw new RangeError(`day: expected one that was entered, found ${day}`);
      set("service-undone", by, day, left);
    },
  };
}

/** By their days, the last one last. */
function kept(outbox: Pick<Outbox, "note">): Services {
  const note = outbox.note("services");
  if (note !== null) return services.parse(JSON.parse(note));
  // As versions before kept the last alone.
  const day = outbox.note("last-service");
  return day === null ? [] : [{ day, by: outbox.note("last-service-by") ?? "" }];
}
