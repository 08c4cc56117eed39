import { describe, expect, it } from "vitest";
import { newContactWatch, type UsualRest, watchContact } from "../../../../analysis/cycles/by-signal/lying-contact.ts";

const usual: UsualRest = { stop_m: 0.15, rise_ms: 0.0004 };

/** From 0.35 m down by 12 mm/s to `down_m`, then up by `rise_ms` for 90 s, under a contact that says 'runs'. */
function watched(down_m: number, rise_ms: number, known: UsualRest | null = usual) {
  const state = newContactWatch();
  const turn_s = (0.35 - down_m) / 0.012;
  const seen: boolean[] = [];
  let askedWhileSinking = 0;
  for (let t = 0; t < turn_s + 90; t++) {
    const level_m = t < turn_s ? 0.35 - 0.012 * t : down_m + rise_ms * (t - turn_s);
    watchContact(
      state,
      t,
      level_m,
      () => 0.0015,
      () => {
        if (t < turn_s) askedWhileSinking += 1;
        return known;
      },
    );
    seen.push(state.suspect);
  }
  return {
    askedWhileSinking,
    lies: state.lies,
    suspectFrom_s: seen.indexOf(true) - turn_s,
  };
}

describe("a contact that says 'runs'", () => {
  it("is suspected some seconds, and lies less than a minute, after water that was down rises as at rest", () => {
    const found = watched(0.15, 0.0004);
    expect(found.suspectFrom_s).toBeLessThan(15);
    expect(found.lies).toBe(true);
  });

  it("is believed when the water turned halfway down: that pump has failed, or a storm has come", () => {
    expect(watched(0.25, 0.0004).lies).toBe(false);
  });

  it("is believed when the water rises far faster, or far more slowly, than at rest", () => {
    expect(watched(0.15, 0.004).lies).toBe(false);
    expect(watched(0.15, 0.00005).lies).toBe(false);
  });

  it("is believed where the water was back up at once, as in a rest between two readings, and sinks from there", () => {
    const state = newContactWatch();
    for (let t = 0; t < 600; t += 5) {
      const level_m = t <= 20 ? 0.35 - 0.01 * t : 0.35 - 0.0002 * (t - 20);
      watchContact(
        state,
        t,
        level_m,
        () => 0.0015,
        () => ({ stop_m: 0.16, rise_ms: 0.002 }),
      );
      expect(state.lies).toBe(false);
    }
  });

  it("is held against no rest while the water sinks, as in nearly every reading of a run", () => {
    expect(watched(0.15, 0.0004).askedWhileSinking).toBe(0);
  });

  it("is believed as long as the usual rest is not known", () => {
    expect(watched(0.15, 0.0004, null).lies).toBe(false);
  });
});
