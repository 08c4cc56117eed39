import { describe, expect, it } from "vitest";
import { pumpWorn } from "../../../analysis/findings/pump-worn.ts";
import { flow, openSince, viewOf } from "./view.ts";

describe("pump-worn", () => {
  it("is true when the pump moves 8 % less than in its best days, clear of both uncertainties", () => {
    const worn = (now: number, u = 0.001) =>
      pumpWorn.holds(viewOf({ slowChange: { before: flow(1, u), now: flow(now, u) } }), null);
    expect(worn(0.93)).toBe(false);
    expect(worn(0.91)).toBe(true);
    expect(worn(0.91, 0.02)).toBe(false);
  });

  it("ends when less than 5 % is missing, however uncertain that is by then", () => {
    const worn = (now: number) =>
      pumpWorn.holds(viewOf({ slowChange: { before: flow(1, 0.02), now: flow(now, 0.02) } }), openSince());
    expect(worn(0.94)).toBe(true);
    expect(worn(0.96)).toBe(false);
  });

  it("cannot be told before there are days to compare", () => {
    expect(pumpWorn.holds(viewOf(), null)).toBeNull();
  });

  it("remembers a further loss of 2 %", () => {
    const view = viewOf({ slowChange: { before: flow(1), now: flow(0.9) } });
    const evidence = pumpWorn.evidence(view);
    expect(evidence).toEqual({ pump_rate_before_m3s: 1, pump_rate_now_m3s: 0.9 });
    expect(pumpWorn.worsen?.(evidence, view)).toBeNull();
    const worse = viewOf({ slowChange: { before: flow(1), now: flow(0.88) } });
    expect(pumpWorn.worsen?.(evidence, worse)).toMatchObject({ pump_rate_now_m3s: 0.88 });
  });
});
