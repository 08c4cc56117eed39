import { describe, expect, it } from "vitest";
import { newCalmMean, towardsCalm } from "../../../../analysis/inflow/over-time/calm-mean.ts";
import { seededRandom } from "../../../../daemon/sources/simulated/random.ts";

/** Rests every ten minutes, each 2 % unsure; what is made of them. */
function follow(inflowAt: (hours: number) => number, rests: number, seed = 1) {
  const random = seededRandom(seed);
  const state = newCalmMean();
  return Array.from({ length: rests }, (_, i) => {
    const is = inflowAt(i / 6);
    const said = is * (1 + random.normal(0.02));
    const estimate = { flow_m3s: said, uFlow_m3s: 0.02 * is, degreesOfFreedom: 50 };
    return { is, said, calm: said + towardsCalm(state, estimate, i * 600) };
  });
}

const worst = (values: readonly number[]) => Math.max(...values);

describe("towardsCalm", () => {
  it("makes of a steady inflow nearly the same all day, though its rests scatter by 2 %", () => {
    const day = follow(() => 8, 144).slice(12);
    expect(worst(day.map(({ said }) => said / 8))).toBeGreaterThan(1.025);
    expect(worst(day.map(({ calm }) => calm / 8))).toBeLessThan(1.015);
  });

  it("keeps up with an inflow that rises by half in six hours", () => {
    const rising = follow((hours) => 8 + (4 * hours) / 6, 36);
    for (const { is, calm } of rising) expect(Math.abs(calm / is - 1)).toBeLessThan(0.05);
  });

  it("takes a storm at its word, from its first rest on", () => {
    const storm = follow((hours) => (hours < 12 ? 8 : 16), 100);
    const first = storm[72];
    expect(first?.calm).toBe(first?.said);
  });

  it("moves no rest by more than twice its own uncertainty, and nothing of a rest that is known exactly", () => {
    for (const { is, said, calm } of follow((hours) => 8 + Math.sin(hours), 200)) {
      expect(Math.abs(calm - said)).toBeLessThanOrEqual(2 * 0.02 * is * (1 + 1e-9));
    }
    const state = newCalmMean();
    const exact = { flow_m3s: 8, uFlow_m3s: 0, degreesOfFreedom: 50 };
    expect(towardsCalm(state, exact, 0)).toBe(0);
    expect(towardsCalm(state, { ...exact, flow_m3s: 9 }, 600)).toBe(0);
  });
});
