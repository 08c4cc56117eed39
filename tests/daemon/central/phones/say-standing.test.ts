import { describe, expect, it } from "vitest";
import { sayStanding } from "../../../../daemon/central/phones/say-standing.ts";
import type { Standing } from "../../../../daemon/central/phones/what-stands.ts";

const standing = (basin: string, kind: string): Standing => ({
  ...{ basin, seen_s: 1000, gone_s: null, told: [] },
  condition: { kind, tier: "now", rank: 1, since_s: 900, advice: null },
});
const about = (name: string) => ({ title: name, place: null, contact: null });
const tagOf = (due: readonly Standing[], over: readonly Standing[] = []) => sayStanding(due, over, about).note.tag;
const [water, supply] = [standing("a", "high-water"), standing("b", "power-lost")] as const;

describe("the notice of basins that call for somebody", () => {
  it("is replaced by what is said later of the same one", () => {
    expect(tagOf([], [water])).toBe(tagOf([water]));
    expect(tagOf([supply])).not.toBe(tagOf([water]));
  });

  it("of several is replaced by no notice of one of them: the others would be gone from the screen", () => {
    const joined = tagOf([water, supply]);
    expect([tagOf([water]), tagOf([], [water]), tagOf([supply])]).not.toContain(joined);
    expect(tagOf([supply, water])).toBe(joined);
    expect(sayStanding([water, supply], [], about).treatment.topic).toBe(joined);
  });
});
