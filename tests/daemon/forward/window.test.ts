import { describe, expect, it } from "vitest";
import { nextWindow } from "../../../daemon/forward/window.ts";
import type { Span } from "../../../daemon/stores/store.ts";
import * as fc from "../../at-random.ts";

interface Stretch {
  readonly from_s: number;
  readonly to_s: number;
}

/** As a store answers: what overlaps the span, newest first. */
const asked =
  (stretches: readonly Stretch[]) =>
  (span: Span): Stretch[] =>
    stretches.filter(({ from_s, to_s }) => from_s <= span.to_s && to_s >= span.from_s).toReversed();

const begin_s = ({ from_s }: Stretch) => from_s;

describe("nextWindow", () => {
  it("taken one after the other, gives each record once, in order, whatever lies between them", () => {
    const gaps_s = fc.array(fc.double({ min: 0.001, max: 1e6, noNaN: true }), { minLength: 1, maxLength: 60 });
    fc.assert(
      fc.property(gaps_s, fc.integer({ min: 1, max: 20 }), (gaps, most) => {
        let at_s = 1e9;
        const stretches = gaps.map((gap_s) => {
          at_s = Math.round((at_s + gap_s) * 1000) / 1000;
          return { from_s: at_s, to_s: at_s + 100 };
        });
        const span = { from_s: stretches[0]?.from_s ?? 0, to_s: at_s + 100 };
        const found: Stretch[] = [];
        let from_s = Number.NEGATIVE_INFINITY;
        for (let windows = 0; from_s < Number.POSITIVE_INFINITY && windows < 1000; windows++) {
          const to_s = Number.POSITIVE_INFINITY;
          const window = nextWindow({ read: asked(stretches), begin_s, from_s, to_s, span, most });
          found.push(...window.records);
          from_s = window.reached_s;
        }
        expect(found).toEqual(stretches.filter((one, i) => one.from_s !== stretches[i - 1]?.from_s || i === 0));
      }),
      { numRuns: 60 },
    );
  });

  it("goes no further than it may, and over years without a record in few steps", () => {
    let questions = 0;
    const stretches = [{ from_s: 0, to_s: 1 }, ...[7, 8, 9].map((n) => ({ from_s: n * 1e8, to_s: n * 1e8 + 1 }))];
    const read = (span: Span) => {
      questions++;
      return asked(stretches)(span);
    };
    const window = nextWindow({ read, begin_s, from_s: 0, to_s: 8e8, span: { from_s: 0, to_s: 1e9 }, most: 100 });
    expect(window).toEqual({ records: stretches.slice(0, 2), reached_s: 8e8 });
    expect(questions).toBeLessThan(25);
  });
});
