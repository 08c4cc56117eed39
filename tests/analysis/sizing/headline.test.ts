import { describe, expect, it } from "vitest";
import { headline, startsInWords, startsTooOften } from "../../../analysis/sizing/headline.ts";
import type { SizingAnswer } from "../../../analysis/sizing/sizing-answer.ts";

type Read = Parameters<typeof headline>[0];

const pump = (verdict: string) => ({ verdict, moves: { lpm: 150, u95_lpm: null } }) as SizingAnswer["pump"];
const seen = (enough: boolean) => ({ enough }) as SizingAnswer["seen"];
const logged = { by: "logged" } as SizingAnswer["measured"];
const byHand = { by: "hand" } as SizingAnswer["measured"];
const required = { flow: { lpm: 50, u95_lpm: null } } as SizingAnswer["required"];
const answer = (part: Partial<Read>): Read => ({ pump: null, seen: seen(true), measured: logged, required, ...part });

describe("the headline", () => {
  it("calls a pump good only where enough was seen", () => {
    expect(headline(answer({ pump: pump("adequate") }))).toEqual({
      words: "The pump is large enough",
      standing: "good",
      soFarOnly: false,
    });
    for (const verdict of ["adequate", "marginal", "not-enough-data"]) {
      const { standing, words, soFarOnly } = headline(answer({ pump: pump(verdict), seen: seen(false) }));
      expect([standing, soFarOnly]).toEqual(["open", true]);
      expect(words).toMatch(/^Not enough has been seen yet/);
    }
  });

  it("takes no hand test for all weather, and calls what is too small already so", () => {
    const hand = { seen: null, measured: byHand };
    expect(headline(answer({ ...hand, pump: pump("adequate") })).standing).toBe("open");
    expect(headline(answer({ ...hand, pump: pump("undersized") })).standing).toBe("bad");
    expect(headline(answer({ seen: seen(false), pump: pump("undersized") })).standing).toBe("bad");
  });

  it("says what is not known where nothing is", () => {
    expect(headline({ pump: null, seen: null, measured: null, required: null })).toEqual({
      words: "Not enough is known yet to judge the pump",
      standing: "open",
      soFarOnly: false,
    });
  });
});

describe("starts that are too many", () => {
  const floats = (allowed: number | null, atPeak: number) =>
    ({
      allowed_starts_per_hour: allowed,
      cycles: [{ when: "at the measured peak", starts_per_hour: atPeak }],
    }) as unknown as SizingAnswer["floats"];
  const counted = (most: number) => ({ most_starts_in_an_hour: most }) as SizingAnswer["measured"];

  it("are said as logged, else as the sums have them", () => {
    expect(startsTooOften({ floats: floats(20, 45.6), measured: counted(25) })).toBe(
      "It starts too often: 25 times in an hour as logged, 20 are allowed.",
    );
    expect(startsTooOften({ floats: floats(20, 45.6), measured: counted(9) })).toBe(
      "It starts too often: 46 times an hour at the measured peak, 20 are allowed.",
    );
  });

  it("are foretold for the required flow where they are not there yet", () => {
    const cycles = [
      { when: "at the measured peak", starts_per_hour: 20.3 },
      { when: "at the required flow", starts_per_hour: 27.2 },
    ];
    const answer = { floats: { allowed_starts_per_hour: 20, cycles }, measured: null };
    expect(startsTooOften(answer as unknown as Parameters<typeof startsTooOften>[0])).toBe(
      "It would start too often: 27 times an hour at the required flow, 20 are allowed.",
    );
  });

  it("are not spoken of where they are few, or where nothing says how many may be", () => {
    expect(startsTooOften({ floats: floats(20, 12), measured: counted(12) })).toBeNull();
    expect(startsTooOften({ floats: floats(null, 45), measured: counted(45) })).toBeNull();
    expect(startsTooOften({ floats: null, measured: null })).toBeNull();
  });

  it("are whole from ten up", () => {
    expect([45.6, 10.2, 9.44].map(startsInWords)).toEqual(["46", "10", "9.4"]);
  });
});
