import { expect, it } from "vitest";
import { type AlarmRecord, freshRecord } from "../../../analysis/alarms/alarm-record.ts";
import { notAhead } from "../../../daemon/alarms/after-restart.ts";

const now_s = 1_700_000_000;
const hour_s = 3600;
const dayAhead_s = now_s + 24 * hour_s;

const kept: AlarmRecord = {
  ...freshRecord("high-water"),
  ...{ holdsSince_s: dayAhead_s, clearSince_s: dayAhead_s, ceased_s: dayAhead_s, shelvedUntil_s: dayAhead_s },
  onsets_s: [now_s - 60, dayAhead_s],
};

it("nothing of an alarm lies ahead when the clock was set back, but for a shelf of the longest that its priority allows", () => {
  expect(notAhead(kept, "high", now_s)).toEqual({
    ...kept,
    ...{ holdsSince_s: now_s, clearSince_s: now_s, ceased_s: now_s, shelvedUntil_s: now_s + 8 * hour_s },
    onsets_s: [now_s - 60],
  });
});

it("an alarm that another version kept without saying since when its cause is over has one that lasts", () => {
  const { ceased_s: _, ...older } = { ...kept, holdsSince_s: now_s - 60 };
  expect(notAhead(older as AlarmRecord, "high", now_s).ceased_s).toBeNull();
});
