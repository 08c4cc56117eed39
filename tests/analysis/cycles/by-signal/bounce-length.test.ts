import { describe, expect, it } from "vitest";
import { hiddenByBounce_s, newBounceLength, noteBounce } from "../../../../analysis/cycles/by-signal/bounce-length.ts";
import { seededRandom } from "../../../../daemon/sources/simulated/random.ts";

describe("hiddenByBounce_s", () => {
  it("is no less than what went before the first touch, whichever part of a bounce shows, and never more than all of it", () => {
    const random = seededRandom(3);
    const bounce_s = 2;
    const dwell_s = 0.3;
    const hidden = () => -dwell_s * Math.log(1 - random.uniform());
    const state = newBounceLength();
    const enough = Array.from({ length: 400 }, () => {
      const [before_s, after_s] = [hidden(), hidden()];
      const seen_s = Math.max(0, bounce_s - before_s - after_s);
      const most_s = hiddenByBounce_s(state, seen_s);
      noteBounce(state, seen_s);
      expect(most_s).toBeLessThanOrEqual(bounce_s);
      return most_s > Math.min(before_s, bounce_s) - 0.25;
    }).slice(20);
    expect(enough.filter(Boolean).length).toBeGreaterThan(0.95 * enough.length);
  });

  it("is nothing of a contact that has not bounced, and dies away where it does no longer", () => {
    const state = newBounceLength();
    for (let i = 0; i < 10; i += 1) noteBounce(state, 0);
    expect(hiddenByBounce_s(state, 0)).toBe(0);
    noteBounce(state, 2);
    expect(hiddenByBounce_s(state, 0.5)).toBe(1.5);
    for (let i = 0; i < 200; i += 1) noteBounce(state, 0);
    expect(hiddenByBounce_s(state, 0)).toBeLessThan(0.05);
  });
});
