import { describe, expect, it } from "vitest";
import type { Site } from "../../../analysis/site.ts";
import { sizeBasin } from "../../../analysis/sizing/size-basin.ts";
import type { SizingAnswer, SizingSeen } from "../../../analysis/sizing/sizing-answer.ts";
import { sizingInWords } from "../../../daemon/report/sizing-in-words.ts";
import { foot, gpm, handTestOf, house, inch } from "../../analysis/sizing/house.ts";

const byHand = (inches: number, site: Site = house) => sizeBasin({ site, logged: null, hand: handTestOf(inches) });
const said = (answer: SizingAnswer) => sizingInWords(answer).replaceAll(/\n\s+/g, " ");

describe("the sizing in words", () => {
  it("says how wide the storm to hold still is, though enough has been seen", () => {
    const answer = byHand(2);
    const seen: SizingSeen = {
      enough: true,
      days: 9,
      storms: 4,
      message: "Enough has been seen.",
      still_missing: [],
      wettest_hour: null,
    };
    const design_storm = {
      depth_mm: 100,
      duration_s: 86_400,
      distribution: "nrcs-type-2",
      inflow: { lpm: 20, low_lpm: 12, high_lpm: 29.2 },
    };
    const required = answer.required && { ...answer.required, design_storm };
    expect(said({ ...answer, seen, required })).toContain(
      "Enough has been seen. What the storm to hold brings is known to −40 %, +46 % all the same.",
    );
    expect(said({ ...answer, seen: { ...seen, enough: false }, required })).not.toContain("all the same");
  });

  it("says what the pump moves worn and through a clogged pipe, and whether that would still do", () => {
    const words = said(byHand(10));
    expect(words).toMatch(
      /worn \(moves 80 % of its flow at the same head\): moves [\d.]+ gpm, still enough for the 16\.5/,
    );
    expect(words).toMatch(
      /pipe clogged by 30 % of its area: moves [\d.]+ gpm, still enough for the 16\.5 gpm required/,
    );
    expect(said(byHand(20))).toMatch(/worn [^:]+: moves [\d.]+ gpm, too little for the 33 gpm required/);
  });

  it("says once that more came in than the pump moves, and calls that no contradiction", () => {
    const answer = byHand(40);
    expect(answer.impossible).toEqual([]);
    expect(said(answer).match(/44\.1 gpm, the water rises although the pump runs/g)).toHaveLength(1);
  });

  it("tells of starts that would be too many at the required flow only", () => {
    // 8.81 gal: 2 in a minute, 2.2 gpm, makes 14 starts an hour; half again 20.4, and nobody counts tenths; 2-1/2 in, at
    // 4.13 gpm required, makes 24.8.
    expect(said(byHand(2.5))).toContain(
      "It would start too often: 25 times an hour at the required flow, 20 are allowed.",
    );
    for (const inches of [1, 2]) expect(said(byHand(inches))).not.toMatch(/It (would )?starts? too often/);
    expect(said(byHand(4))).toMatch(/It starts too often: 2\d times an hour at the measured peak/);
  });

  it("calls a pump that does not reach the height too small, not unknown, with both figures", () => {
    const curve = [
      { flow_m3s: 0, head_m: 8 * foot },
      { flow_m3s: gpm(30), head_m: 0 },
    ];
    const answer = byHand(4, { ...house, pump: { maxStartsPerHour: 20, minRun_s: 8, curve } });
    expect(said(answer)).toContain(
      "Undersized: It moves nothing, and 6.61 gpm is required: it lifts no higher than 8 ft",
    );
    expect(answer.impossible).toHaveLength(1);
    expect(said(answer)).not.toContain("has no duty point");
  });

  it("speaks of pump and pipes taken off only where they are", () => {
    expect(said(byHand(4))).not.toContain("taken off");
    const geometry = { shape: "round" as const, diameter_m: 18 * inch, occupiedArea_m2: 0.005 };
    expect(said(byHand(4, { ...house, basin: { ...house.basin, geometry } }))).toContain("pump and pipes taken off");
  });

  it("has heights in mm alone where the site is metric", () => {
    expect(said(byHand(4, { ...house, displayUnits: "metric" }))).not.toMatch(/\d cm\b|centimet/);
  });
});
