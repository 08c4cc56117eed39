import { describe, expect, it } from "vitest";
import {
  type CallsState,
  forgetWhoRan,
  idleByCalls,
  moreInRest_m3,
  moreInRun_m3,
  newCalls,
  noteCall,
  type TwoFloats,
} from "../../../../analysis/cycles/two-pumps/called-by.ts";
import { basinGeometry } from "../../../../analysis/geometry/basin.ts";

/** The lower float lets 0.2 m come in, the upper 0.3 m. */
const asLow: TwoFloats = { lower: { start_m: 0.3, stop_m: 0.1 }, upper: { start_m: 0.4, stop_m: 0.1 } };
const opensHigh: TwoFloats = { lower: asLow.lower, upper: { start_m: 0.4, stop_m: 0.2 } };
const opensLow: TwoFloats = { lower: asLow.lower, upper: { start_m: 0.4, stop_m: 0.05 } };

/** Which float called each of these runs, by the pump and the rest before. */
function callers(runs: readonly (readonly [0 | 1 | 2 | 3, number])[], floats = asLow, state = newCalls()): string {
  return runs
    .map(([set, rest_s]) => {
      noteCall(state, set, rest_s, floats);
      return state.upper ? "U" : "l";
    })
    .join("");
}

const turns = [1, 2, 1, 2, 1, 2].map((set) => [set as 1 | 2, 200] as const);

describe("the float that calls two pumps that take turns", () => {
  it("is the lower one as long as either has its turn", () => {
    expect(callers([...turns, ...turns])).toBe("llllllllllll");
  });

  it("is the upper one where a pump runs again in the other's place", () => {
    const dead = [1, 1, 1, 1, 1].map((set, i) => [set as 1, i % 2 === 1 ? 300 : 200] as const);
    expect(callers([...turns, ...dead, [2, 200], [1, 200]])).toBe("llllll" + "lUlUl" + "ll");
  });

  it("is every time the upper one where that opens before the lower one does, which calls on", () => {
    expect(callers([...turns, [1, 200], [1, 300], [1, 200], [1, 200]], opensHigh)).toBe("llllll" + "lUUU");
  });

  it("is by turns the upper one where that opens after it, however fast the water comes", () => {
    expect(callers([...turns, [1, 200], [1, 300], [1, 300], [1, 300]], opensLow)).toBe("llllll" + "lUlU");
  });

  it("is told by the rest where both open as low, for either may do so first", () => {
    const [lower, upper] = [[1, 210] as const, [1, 310] as const];
    expect(callers([...turns, lower, upper, upper, lower, lower, upper])).toBe("llllll" + "lUUllU");
  });
});

describe("a run in which another pump joined in or took over", () => {
  it("says nothing of whose turn is next", () => {
    const state = newCalls();
    expect(callers(turns, asLow, state)).toBe("llllll");
    forgetWhoRan(state);
    expect(
      callers(
        [
          [2, 200],
          [1, 200],
          [1, 300],
        ],
        asLow,
        state,
      ),
    ).toBe("llU");
  });
});

describe("the float that calls a second pump by itself, where the first is on duty", () => {
  const duty = [1, 1, 1, 1].map((set) => [set as 1, 200] as const);

  it("is the upper one after rests as much longer as it hangs higher", () => {
    expect(callers([...duty, [2, 300], [2, 310], [2, 290], [2, 150], [1, 200]])).toBe("llll" + "UUUU" + "l");
  });

  it("is the lower one after rests as before, or after one long one: somebody has changed them over", () => {
    expect(callers([...duty, [2, 210], [2, 400], [2, 400]])).toBe("llll" + "lll");
    expect(callers([...duty, [2, 300], [2, 200], [2, 400]])).toBe("llll" + "Ull");
  });

  it("stays the upper one, however fast the water comes, where that opens before the lower one does", () => {
    const over = { lower: asLow.lower, upper: { start_m: 0.6, stop_m: 0.35 } };
    expect(callers([...duty, [2, 520], [2, 220], [2, 150], [2, 100]], over)).toBe("llll" + "UUUU");
  });

  it("is not known to be the upper one before the first has been on duty", () => {
    expect(
      callers([
        [1, 200],
        [2, 300],
        [2, 300],
      ]),
    ).toBe("lll");
  });
});

describe("the pump that does not start, by those that have run", () => {
  const idle = (runs: Parameters<typeof callers>[0]) => {
    const state = newCalls();
    callers(runs, asLow, state);
    return idleByCalls(state);
  };

  it("is the one that misses its turns, after four runs of the other on end", () => {
    expect(idle([...turns, [1, 200], [1, 300], [1, 200]])).toBe(null);
    expect(idle([...turns, [1, 200], [1, 300], [1, 200], [1, 300]])).toBe(2);
  });

  it("is the one on duty, after three runs that the upper float called", () => {
    const duty = [1, 1, 1].map((set) => [set as 1, 200] as const);
    expect(idle([...duty, [2, 300], [2, 300]])).toBe(null);
    expect(idle([...duty, [2, 300], [2, 300], [2, 300]])).toBe(1);
    expect(idle([...duty, [2, 200], [2, 200], [2, 200]])).toBe(null);
  });
});

describe("what lies between the levels beyond the lower float's", () => {
  const geometry = basinGeometry({ shape: "rectangular", width_m: 0.5, length_m: 0.4, occupiedArea_m2: 0 });
  const more = (change: Partial<CallsState>, floats: TwoFloats) => {
    const state = { ...newCalls(), ran: 1 as const, again: 1, ...change };
    return [moreInRest_m3(state, floats, geometry), moreInRun_m3(state, floats, geometry)];
  };
  const litres = (values: readonly (number | null)[]) => values.map((value) => value && Math.round(value * 1e6) / 1e3);

  it("is 0.2 m² times 0.1 m more up to the upper float, and as much less from where it has opened", () => {
    expect(litres(more({ upper: true }, opensHigh))).toEqual([20, 0]);
    expect(litres(more({ upper: true, upperBefore: true }, opensHigh))).toEqual([0, 0]);
    expect(litres(more({ upper: true }, asLow))).toEqual([20, 20]);
    expect(litres(more({ upperBefore: true }, opensLow))).toEqual([10, 0]);
  });

  it("is not known of a pump that starts again while the lower float still calls it", () => {
    expect(more({ upperBefore: true, again: 0 }, opensHigh)[0]).toBe(null);
    expect(more({ upperBefore: true, again: 0 }, asLow)[0]).toBe(null);
    expect(litres(more({ upperBefore: true, again: 0 }, opensLow))).toEqual([10, 0]);
  });
});
