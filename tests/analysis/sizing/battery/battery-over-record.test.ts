import { describe, expect, it } from "vitest";
import { batteryOverRecord } from "../../../../analysis/sizing/battery/battery-over-record.ts";

const hour = 3600;
const stretch = (from_h: number, to_h: number, inflow_m3s: number) => ({
  from_s: from_h * hour,
  to_s: to_h * hour,
  inflow_m3s,
  uInflow_m3s: 0,
});
/** Flat in an hour at an inflow of 1, in ten at 0.1. */
const perSecond = (inflow_m3s: number) => inflow_m3s / hour;

describe("a battery over the record", () => {
  it("lasts shortest from where most comes in", () => {
    // From hour 5 on: two hours at 0.4 draw 0.8, and the rest at 0.1 two more hours.
    const record = [stretch(0, 5, 0.1), stretch(5, 7, 0.4), stretch(7, 20, 0.1)];
    const found = batteryOverRecord(record, perSecond);
    expect(found?.from_s).toBe(5 * hour);
    expect((found?.lasts_s ?? 0) / hour).toBeCloseTo(4, 9);
  });

  it("may be flat within one stretch", () => {
    const found = batteryOverRecord([stretch(0, 5, 0.1), stretch(5, 9, 0.5)], perSecond);
    expect((found?.lasts_s ?? 0) / hour).toBeCloseTo(2, 9);
    expect(batteryOverRecord([stretch(0, 50, 0.5)], perSecond)?.lasts_s).toBeCloseTo(2 * hour, 6);
  });

  it("lasts as an hour-by-hour run from every moment says, whatever the weather", () => {
    const flows = Array.from({ length: 200 }, (_, i) => 0.02 + 0.3 * Math.max(0, Math.sin(i / 9) * Math.sin(i / 31)));
    const record = flows.map((flow, i) => stretch(i, i + 1, flow));
    const byHand = flows.map((_, begin) => {
      let left = 1;
      for (let i = begin; i < flows.length; i++) {
        const flow = flows[i] ?? 0;
        if (flow >= left) return i - begin + left / flow;
        left -= flow;
      }
      return Number.POSITIVE_INFINITY;
    });
    const found = batteryOverRecord(record, perSecond);
    expect((found?.lasts_s ?? 0) / hour).toBeCloseTo(Math.min(...byHand), 6);
  });

  it("counts a gap like the stretch before it", () => {
    const found = batteryOverRecord([stretch(0, 1, 0.1), stretch(6, 30, 0.05)], perSecond);
    expect((found?.lasts_s ?? 0) / hour).toBeCloseTo(6 + 0.4 / 0.05, 9);
  });

  it("may last to the end, and is unknown without a record", () => {
    expect(batteryOverRecord([stretch(0, 5, 0.1)], perSecond)).toEqual({ from_s: 0, lasts_s: null });
    expect(batteryOverRecord([], perSecond)).toBeNull();
  });
});
