import { describe, expect, it } from "vitest";
import {
  eitherOn,
  feedPumps,
  forgetPumps,
  joinPump,
  newPumpSets,
  type PumpSetsState,
  secondSignal,
  settlePumps,
  takeShares,
} from "../../../../analysis/cycles/two-pumps/pump-sets.ts";
import { reading } from "../../small-basin.ts";

/** Feeds pairs of what the first and the second contact say, and writes down what comes of it. */
function feed(
  pairs: readonly (readonly [boolean | null, boolean | null])[],
  state: PumpSetsState = newPumpSets(),
  every_s = 1,
) {
  const said: string[] = [];
  const output = {
    start: (pump: number, time_s: number) => said.push(`start ${pump} at ${time_s}`),
    changed: (time_s: number, set: number) => said.push(`set ${set} at ${time_s}`),
  };
  pairs.forEach(([first, second], i) => {
    const time_s = every_s * i;
    if (second !== null) secondSignal(state, reading(time_s, { pump2On: second }), true);
    feedPumps(state, time_s, first, output);
  });
  return { state, said, output };
}

const off = [false, false] as const;
const one = [true, false] as const;
const two = [false, true] as const;
const both = [true, true] as const;

describe("feedPumps", () => {
  it("counts a start of each, when it came, and not the state that was found", () => {
    const { said } = feed([one, one, one, off, off, off, two, both, both, both]);
    expect(said).toEqual(["set 1 at 0", "set 0 at 3", "start 2 at 6", "set 2 at 6", "start 1 at 7", "set 3 at 7"]);
  });

  it("takes no bounce of either for a start", () => {
    expect(feed([off, one, off, off, both, off, off, two, off, off]).said).toEqual([]);
  });

  it("takes none that bounces for three seconds, read each 2 s, for two starts", () => {
    const { said } = feed(
      [off, both, off, both, both, both, one, both, one, one, off, two, off, off],
      newPumpSets(),
      2,
    );
    expect(said.filter((one) => one.startsWith("start"))).toEqual(["start 1 at 6", "start 2 at 6"]);
    expect(said.filter((one) => one.startsWith("set"))).toEqual(["set 3 at 6", "set 1 at 16", "set 0 at 20"]);
  });

  it("takes two that change at once for one change", () => {
    expect(feed([off, off, both, both, both, off, off, off]).said).toEqual([
      ...["start 1 at 2", "start 2 at 2", "set 3 at 2"],
      "set 0 at 5",
    ]);
  });

  it("keeps what a contact said while it is silent", () => {
    const { state } = feed([off, one, one, one, [null, null], [null, null], [null, null]]);
    expect(state.set).toBe(1);
  });

  it("counts a change in progress at the end as made", () => {
    const { state, said, output } = feed([off, off, both]);
    settlePumps(state, output);
    expect(said).toEqual(["start 1 at 2", "start 2 at 2", "set 3 at 2"]);
  });

  it("knows nothing after a gap", () => {
    const { state } = feed([one, one, one]);
    forgetPumps(state);
    expect([state.set, state.first.on, state.second.on, state.secondOn]).toEqual([0, null, null, null]);
  });
});

describe("takeShares", () => {
  it("says for how long each ran, and both", () => {
    // The first for 3 s alone, both for 4 s, the second for 2 s alone.
    const { state } = feed([off, off, one, one, one, both, both, both, both, two, two, off, off, off]);
    expect(takeShares(state, 2, 11)).toEqual({ pump1_s: 7, pump2_s: 6, both_s: 4 });
    expect(takeShares(state, 11, 13)).toEqual({ pump1_s: 0, pump2_s: 0, both_s: 0 });
  });

  it("counts what runs still, up to the end of the run", () => {
    const { state } = feed([off, one, one, one, one]);
    expect(takeShares(state, 1, 9)).toEqual({ pump1_s: 8, pump2_s: 0, both_s: 0 });
  });

  it("says nothing without a second pump", () => {
    expect(takeShares(newPumpSets(), 0, 10)).toBe(null);
  });
});

describe("secondSignal", () => {
  it("takes the second pump's float for it only where the level is not asked which pumps run", () => {
    const state = newPumpSets();
    secondSignal(state, reading(0, { float2On: true }), false);
    expect([state.origin, state.secondOn]).toEqual([null, null]);
    secondSignal(state, reading(1, { float2On: true }), true);
    expect([state.origin, state.secondOn]).toEqual(["float2On", true]);
  });

  it("believes its contact before its float, for good", () => {
    const state = newPumpSets();
    secondSignal(state, reading(0, { pump2On: false, float2On: true }), true);
    secondSignal(state, reading(1, { float2On: true }), true);
    expect([state.origin, state.secondOn]).toEqual(["pump2On", false]);
  });
});

describe("joinPump", () => {
  it("takes what ran before a second pump was heard of for the first one", () => {
    const state = newPumpSets();
    joinPump(state, true, 50);
    secondSignal(state, reading(50, { pump2On: false }), true);
    expect(takeShares(state, 40, 60)).toEqual({ pump1_s: 10, pump2_s: 0, both_s: 0 });
  });
});

describe("eitherOn", () => {
  it("is on with one on, off with the first off, and unknown with the first unknown", () => {
    expect([eitherOn(true, null), eitherOn(false, true), eitherOn(null, true)]).toEqual([true, true, true]);
    expect([eitherOn(false, null), eitherOn(false, false), eitherOn(null, false)]).toEqual([false, false, null]);
  });
});
