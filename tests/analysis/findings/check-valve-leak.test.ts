import { describe, expect, it } from "vitest";
import { checkValveLeak } from "../../../analysis/findings/check-valve-leak.ts";
import { cyclesLike, flow, openSince, viewOf } from "./view.ts";

const holds = (change: Parameters<typeof viewOf>[0]) => checkValveLeak.holds(viewOf(change), null);

describe("check-valve-leak", () => {
  it("is true when four of the last five stops let more than two litres back", () => {
    const leaking = cyclesLike({ drainBack_m3: 0.0021 }, 4);
    expect(holds({ recentCycles: [...leaking, ...cyclesLike({}, 4)] })).toBe(true);
    expect(holds({ recentCycles: [...leaking.slice(1), ...cyclesLike({}, 5)] })).toBe(false);
    expect(holds({ recentCycles: cyclesLike({ drainBack_m3: 0.0019 }) })).toBe(false);
  });

  it("stays open until no more than one of five stops lets so much back", () => {
    const leaky = (leaks: number) =>
      viewOf({ recentCycles: [...cyclesLike({ drainBack_m3: 0.0021 }, leaks), ...cyclesLike({}, 5)] });
    expect(checkValveLeak.holds(leaky(2), openSince())).toBe(true);
    expect(checkValveLeak.holds(leaky(2), null)).toBe(false);
    expect(checkValveLeak.holds(leaky(1), openSince())).toBe(false);
  });

  it("allows a large pump a twentieth of what a run moves", () => {
    // 60 s at 66 L/min are 66 L: 3.3 L may come back.
    expect(holds({ recentCycles: cyclesLike({ run_s: 60, drainBack_m3: 0.0032 }) })).toBe(false);
    expect(holds({ recentCycles: cyclesLike({ run_s: 60, drainBack_m3: 0.0034 }) })).toBe(true);
    expect(holds({ recentCycles: cyclesLike({ run_s: 60, drainBack_m3: 0.0034, pumpRate: flow(2.2e-3) }) })).toBe(
      false,
    );
  });

  it("cannot be told from fewer than five stops whose returned water is known", () => {
    expect(holds({ recentCycles: cyclesLike({ drainBack_m3: 0.01 }, 4) })).toBeNull();
    expect(holds({ recentCycles: cyclesLike({ drainBack_m3: null }) })).toBeNull();
    expect(
      holds({ recentCycles: [...cyclesLike({ drainBack_m3: null }, 1), ...cyclesLike({ drainBack_m3: 0.01 }, 5)] }),
    ).toBe(true);
  });
});
