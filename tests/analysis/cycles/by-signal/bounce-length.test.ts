import { describe, expect, it } from "vitest";
import { hiddenByBounce_s, newBounceLength, noteBounce } from "../../../../analysis/cycles/by-signal/bounce-length.ts";
import { seededRandom } from "../../../../daemon/sources/simulated/random.ts";

function seen(lengths_s: readonly number[], readings = 10) {
  const state = newBounceLength();
  for (const length_s of lengths_s) noteBounce(state, length_s, readings);
  return state;
}

describe("hiddenByBounce_s", () => {
  it("is what of the bounce did not follow the first touch, whichever part of it shows", () => {
    const random = seededRandom(3);
    const bounce_s = 2;
    const dwell_s = 0.3;
    const hidden = () => -dwell_s * Math.log(1 - random.uniform());
    const state = newBounceLength();
    const errors = Array.from({ length: 400 }, () => {
      const [before_s, after_s] = [hidden(), hidden()];
      const seen_s = Math.max(0, bounce_s - before_s - after_s);
      const most_s = hiddenByBounce_s(state, seen_s);
      noteBounce(state, seen_s, 10);
      return most_s - (before_s + after_s);
    }).slice(20);
    expect(errors.reduce((sum, error) => sum + error, 0) / errors.length).toBeCloseTo(0, 1);
  });

  it("is nothing of a contact that mostly does not bounce, even of a change that does", () => {
    const state = seen(Array.from({ length: 40 }, (_, i) => (i % 3 === 0 ? 2 : 0)));
    expect(hiddenByBounce_s(state, 0)).toBe(0);
    expect(hiddenByBounce_s(state, 1)).toBe(0);
  });

  it("is most of a bounce of two readings, though it shows at one change in four alone", () => {
    const random = seededRandom(5);
    const state = newBounceLength();
    const hidden_s = Array.from({ length: 200 }, () => {
      const [first, second] = [random.uniform() < 0.5, random.uniform() < 0.5];
      const length_s = first && !second ? 2 : 0;
      noteBounce(state, length_s, 2);
      return hiddenByBounce_s(state, 0);
    }).slice(20);
    const mean_s = hidden_s.reduce((sum, one) => sum + one, 0) / hidden_s.length;
    // the bounce takes two seconds
    expect(mean_s).toBeGreaterThan(1.2);
    expect(mean_s).toBeLessThan(2);
  });

  it("is nothing before some changes have shown how long it bounces", () => {
    expect(hiddenByBounce_s(seen([2, 2, 2]), 0.5)).toBe(0);
    expect(hiddenByBounce_s(seen(new Array(10).fill(2)), 0.5)).toBeCloseTo(1.5, 10);
  });
});
