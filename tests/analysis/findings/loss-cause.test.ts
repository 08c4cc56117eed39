import { describe, expect, it } from "vitest";
import { lossAdvice, lossCause } from "../../../analysis/findings/loss-cause.ts";

const sudden = { course: "sudden", share: 0.3, spread: 0.02, startsLate: false, temperature_c: null } as const;

describe("lossCause", () => {
  it("is a blockage when it came at once and little is left", () => {
    expect(lossCause(sudden)).toBe("blocked");
    expect(lossCause({ ...sudden, share: 0.54 })).toBe("blocked");
  });

  it("is a part-closed way when more than half is left and the runs agree", () => {
    expect(lossCause({ ...sudden, share: 0.55 })).toBe("part-closed");
    expect(lossCause({ ...sudden, share: 0.7, spread: 0.2 })).toBe("blocked");
    expect(lossCause({ ...sudden, share: 0.7, spread: null })).toBe("blocked");
  });

  it("is ice when it came at once and it is 1 °C or colder", () => {
    expect(lossCause({ ...sudden, temperature_c: 1 })).toBe("frozen");
    expect(lossCause({ ...sudden, temperature_c: -8 })).toBe("frozen");
    expect(lossCause({ ...sudden, temperature_c: 1.1 })).toBe("blocked");
  });

  it("is air when runs begin with little and come up by themselves, also in the cold", () => {
    expect(lossCause({ ...sudden, startsLate: true, temperature_c: -8 })).toBe("air-bound");
  });

  it("is wear when it came by and by, whatever the weather", () => {
    expect(lossCause({ ...sudden, course: "slow", temperature_c: -8 })).toBe("worn");
  });

  it("has advice for each, and takes what it does not know for a blockage", () => {
    const causes = ["blocked", "part-closed", "frozen", "air-bound", "worn"];
    expect(new Set(causes.map(lossAdvice)).size).toBe(5);
    expect(lossAdvice(undefined)).toBe(lossAdvice("blocked"));
  });
});
