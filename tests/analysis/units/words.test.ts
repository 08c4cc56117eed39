import { describe, expect, it } from "vitest";
import { toSi } from "../../../analysis/units/unit.ts";
import { figures, plusMinus, twoFigures, words } from "../../../analysis/units/words.ts";

describe("quantities in words", () => {
  it("are in the site's own units, to three figures", () => {
    const us = words("us");
    expect(us.flow(toSi(45.28, "gpm"))).toBe("45.3 gpm");
    expect(us.head(3.048)).toBe("10 ft");
    expect(us.level(0.3556)).toBe("14 in");
    expect(us.velocity(0.6096)).toBe("2 ft/s");
    expect(us.perHeight(toSi(254.469, "in2"))).toBe("1.102 gal per inch");
    expect(words("metric").perHeight(0.164173)).toBe("0.1642 L per mm");
    expect(words("metric").flow(toSi(171.4, "L/min"))).toBe("171 L/min");
  });

  it.each([
    [44.96, "45 s"],
    [725, "12.1 min"],
    [12_300, "3.42 h"],
    [200_000, "2.31 days"],
  ])("say %d s as %s", (duration_s, said) => {
    expect(words("us").duration(duration_s)).toBe(said);
  });

  it.each<[number, number | null, string]>([
    [8.588, 0.506, "8.59 ± 0.51"],
    [12.88, 0.76, "12.9 ± 0.8"],
    [41.7, 12.3, "42 ± 12"],
    [1250, 133, "1250 ± 130"],
    [2.2842, 0.0001, "2.28"],
    [2.2842, null, "2.28"],
    [0, 0.5, "0"],
  ])("have no more digits than are known: %d within %d is %s", (value, u95, said) => {
    expect(plusMinus(value, u95)).toBe(said);
  });

  it.each([
    [0.0362, "0.036"],
    [5.894, "5.9"],
    [27.04, "27"],
    [-0.001, "-0.001"],
  ])("say %d in two figures, %s", (value, said) => {
    expect(twoFigures(value)).toBe(said);
  });

  it("have no minus before a nought", () => {
    expect(figures(-0)).toBe("0");
  });
});
