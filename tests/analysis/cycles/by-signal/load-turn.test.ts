import { describe, expect, it } from "vitest";
import { isOnItsWayOver, newLoadTurn, noteTurn } from "../../../../analysis/cycles/by-signal/load-turn.ts";

const { NaN: not } = Number;

/** Since when each load, a share of what the motor draws at work, was on its way over, after runs with `edge` on either side. */
function turnings(edge: readonly number[], ways: readonly number[]): number[] {
  const state = newLoadTurn();
  let on = false;
  let time_s = 0;
  const feed = (way: number) => {
    const now = way > 0.45 || (on && way > 0.25);
    noteTurn(state, time_s, way, on, now);
    on = now;
    time_s += 1;
  };
  for (let run = 0; run < 4; run += 1) {
    const rest = Array.from({ length: 20 }, () => 0);
    for (const way of [...rest, ...edge, ...rest.map(() => 1), ...edge.toReversed()]) feed(way);
  }
  const from_s = time_s;
  return ways.map((way) => {
    feed(way);
    return isOnItsWayOver(state) ? state.from_s - from_s : not;
  });
}

describe("the load of a motor whose meter shows switches half-way", () => {
  const slow = [0.3, 0.6];

  it("is on its way from the first reading that leaves where it stood", () => {
    expect(turnings(slow, [0, 0, 0.15, 0.3, 0.5])).toEqual([not, not, 2, 2, not]);
    expect(turnings(slow, [0, 1, 1, 1, 0.9, 0.6, 0.3, 0.1])).toEqual([not, not, not, not, 4, 4, 4, not]);
  });

  it("is not where it comes no further: a heater beside it, or less to do", () => {
    expect(turnings(slow, [0, 0.2, 0.2, 0.2, 0.2, 0.2, 0.2, 0.2])).toEqual([not, 1, 1, 1, 1, 1, not, not]);
    expect(turnings(slow, [1, 1, 0.8, 0.8, 0.8, 0.8, 0.8, 0.8]).at(-1)).toBeNaN();
  });

  it("is not as an inrush comes down to what it draws at work", () => {
    expect(turnings(slow, [0, 5, 1, 1, 1])).toEqual([not, not, not, not, not]);
    expect(turnings(slow, [0, 3, 2, 1.5, 1.25, 1.1, 1, 1, 0.5, 0.2])).toEqual([...Array(8).fill(not), 8, not]);
  });

  it("is by where it came to in a run that is over before it stands", () => {
    expect(turnings(slow, [0, 0.2, 0.5, 0.8, 0.65, 0.4, 0.1])).toEqual([not, 1, not, not, 4, 4, not]);
  });
});

describe("the load of a motor whose meter shows switches at once", () => {
  it("is never on its way: a reading that is off says nothing", () => {
    expect(turnings([], [0, 0.15, 1, 1, 0.85, 0])).toEqual([not, not, not, not, not, not]);
  });
});
