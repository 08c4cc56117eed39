import { describe, expect, it } from "vitest";
import { channelProblem, forgetRuns, newChannelWatch, noteChannels } from "../../../analysis/readings/channel-watch.ts";
import type { Reading } from "../../../analysis/readings/reading.ts";
import { reading } from "../small-basin.ts";

/** So many cycles of a reading in the run and one in the rest after it. */
function feed(
  cycles: number,
  channels: (on: boolean) => Partial<Reading>,
  signal: keyof Reading = "pumpOn",
  state = newChannelWatch(),
) {
  for (let n = 0; n < cycles; n++) {
    for (const on of [true, false]) noteChannels(state, reading(n, channels(on)), on, signal, false);
  }
  return state;
}

describe("a channel beside the pump's signal", () => {
  it("is frozen when six runs and rests more have not moved the value that was read first, whatever value", () => {
    for (const pumpCurrent_a of [0, 5.2]) {
      const stands = () => ({ pumpCurrent_a });
      expect(channelProblem(feed(6, stands), "pumpCurrent_a")).toBeNull();
      expect(channelProblem(feed(7, stands), "pumpCurrent_a")).toBe("frozen");
    }
    const down = () => ({ floatOn: false });
    expect(channelProblem(feed(7, down), "floatOn")).toBe("frozen");
  });

  it("is well when it follows, and again when it moves once more", () => {
    const follows = (on: boolean) => ({ pumpCurrent_a: on ? 5.2 : 0 });
    expect(channelProblem(feed(20, follows), "pumpCurrent_a")).toBeNull();
    const stuck = feed(9, () => ({ pumpCurrent_a: 0 }));
    expect(channelProblem(feed(1, follows, "pumpOn", stuck), "pumpCurrent_a")).toBeNull();
  });

  it("is not held against itself where it is the signal, nor called anything unread", () => {
    expect(
      channelProblem(
        feed(20, () => ({ pumpCurrent_a: 5 }), "pumpCurrent_a"),
        "pumpCurrent_a",
      ),
    ).toBeNull();
    expect(channelProblem(newChannelWatch(), "pumpPower_w")).toBeNull();
  });

  it("does not count a run that a gap cut off", () => {
    const state = newChannelWatch();
    for (let n = 0; n < 20; n++) {
      noteChannels(state, reading(n, { floatOn: true }), true, "pumpOn", false);
      forgetRuns(state);
      noteChannels(state, reading(n, { floatOn: true }), false, "pumpOn", false);
    }
    expect(channelProblem(state, "floatOn")).toBeNull();
  });

  it("does not count a run in which it was not read", () => {
    const state = newChannelWatch();
    for (let n = 0; n < 20; n++) {
      noteChannels(state, reading(n, { floatOn: false }), true, null, true, false);
      noteChannels(state, reading(n, { floatOn: false }), false, null, true, n >= 13);
      expect(channelProblem(state, "floatOn")).toBe(n < 18 ? null : "frozen");
    }
  });
});

describe("the contact of the supply", () => {
  it("is contradicted by three runs more without a supply, and believed before", () => {
    const none = () => ({ mainsOn: false });
    expect(channelProblem(feed(3, none), "mainsOn")).toBeNull();
    expect(channelProblem(feed(4, none), "mainsOn")).toBe("contradicted");
    const there = () => ({ mainsOn: true });
    expect(channelProblem(feed(30, there), "mainsOn")).toBeNull();
  });
});

describe("a figure out of its range", () => {
  it.each([
    [{ temperature_c: -127 }, "temperature_c"],
    [{ temperature_c: 85 }, "temperature_c"],
    [{ rain_m: -0.001 }, "rain_m"],
    [{ pumpCurrent_a: 655.35 }, "pumpCurrent_a"],
    [{ pumpPower_w: 32_767 }, "pumpPower_w"],
  ] as const)("is said: %o", (channels, channel) => {
    expect(
      channelProblem(
        feed(1, () => channels),
        channel,
      ),
    ).toBe("out-of-range");
  });

  it("is none within it", () => {
    expect(
      channelProblem(
        feed(1, () => ({ temperature_c: 11 })),
        "temperature_c",
      ),
    ).toBeNull();
  });
});
