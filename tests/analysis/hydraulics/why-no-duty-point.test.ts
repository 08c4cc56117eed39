import { describe, expect, it } from "vitest";
import { meetDischarge } from "../../../analysis/hydraulics/duty-point.ts";
import { pumpCurve } from "../../../analysis/hydraulics/pump-curve.ts";
import { whyNoDutyPoint } from "../../../analysis/hydraulics/why-no-duty-point.ts";
import type { CurvePoint, DischargeSite } from "../../../analysis/site.ts";
import { toSi } from "../../../analysis/units/unit.ts";

const discharge: DischargeSite = {
  highPoint_m: toSi(10, "ft"),
  pipe: { material: "pvc-40", nominal_m: 0.0381, insideDiameter_m: null, length_m: 6 },
  fittings: [],
};
const point = (gpm: number, head_ft: number): CurvePoint => ({
  flow_m3s: toSi(gpm, "gpm"),
  head_m: toSi(head_ft, "ft"),
});
const why = (points: readonly CurvePoint[], system: "us" | "metric") => {
  const curve = pumpCurve(points);
  const { reason } = meetDischarge(curve, discharge, 0);
  if (reason === null) throw new Error("they meet");
  return whyNoDutyPoint(reason, curve, discharge, 0, system);
};

describe("whyNoDutyPoint", () => {
  it("names the shut-off head and the static head of a pump that cannot lift so high, in both units", () => {
    const weak = [point(0, 8), point(40, 0)];
    expect(why(weak, "us")).toContain(
      "the pump's shut-off head, 8 ft (2.44 m), is no more than the static head, 10 ft (3.05 m)",
    );
    expect(why(weak, "metric")).toContain("2.44 m (8 ft), is no more than the static head, 3.05 m (10 ft)");
  });

  it("names where a curve ends or begins, with what the discharge asks for there", () => {
    expect(why([point(0, 25), point(20, 20)], "us")).toMatch(
      /its curve ends at 20 gpm \(75\.7 L\/min\) with 20 ft \(6\.1 m\), where the discharge asks for only 1\d/,
    );
    expect(why([point(40, 8), point(50, 0)], "us")).toMatch(/its curve begins at 40 gpm .* asks for 1\d/);
  });
});
