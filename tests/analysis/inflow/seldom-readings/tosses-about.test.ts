import { describe, expect, it } from "vitest";
import type { Mark } from "../../../../analysis/inflow/seldom-readings/over-stretch.ts";
import { tossesAbout } from "../../../../analysis/inflow/seldom-readings/tosses-about.ts";

/** 20 L between the floats, the lower of them at 10 L. */
const floats = { active_m3: 0.02, stop_m3: 0.01 };

/** A minute apart, about the middle between the floats but for those that are given. */
function marksWith(others: Readonly<Record<number, number>>): Mark[] {
  const same = { ran_s: 0, starts: 0, runs: 0, flutters: 0, on: null };
  return Array.from({ length: 30 }, (_, i) => ({ ...same, time_s: 60 * i, volume_m3: others[i] ?? 0.02 }));
}

describe("levels that only jump about", () => {
  it("stand alone beyond the floats, over them or under", () => {
    expect(tossesAbout(marksWith({ 5: 0.04, 20: 0.002 }), 0, floats)).toBe(true);
  });

  it("are no single spike, and none of before the stretch", () => {
    expect(tossesAbout(marksWith({ 5: 0.04 }), 0, floats)).toBe(false);
    expect(tossesAbout(marksWith({ 5: 0.04, 8: 0.04 }), 10, floats)).toBe(false);
  });

  it("are no water that has risen over the floats and stays there for a while", () => {
    const storm = Object.fromEntries(Array.from({ length: 10 }, (_, i) => [10 + i, 0.04]));
    expect(tossesAbout(marksWith(storm), 0, floats)).toBe(false);
  });

  it("are not known where the floats are not", () => {
    expect(tossesAbout(marksWith({ 5: 0.04, 20: 0.002 }), 0, { ...floats, active_m3: null })).toBe(false);
  });
});
