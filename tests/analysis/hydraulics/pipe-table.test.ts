import { describe, expect, it } from "vitest";
import { pipeBore, pipeSizes } from "../../../analysis/hydraulics/pipe-table.ts";
import type { PipeMaterial, PipeSite } from "../../../analysis/site.ts";

const materials: readonly PipeMaterial[] = [
  "pvc-40",
  "pvc-80",
  "abs-40",
  "copper-l",
  "galvanised-steel",
  "pe-sdr11",
  "pe-sdr17",
  "corrugated-hose",
];

function pipe(part: Partial<PipeSite>): PipeSite {
  return { material: "pvc-40", nominal_m: null, insideDiameter_m: null, length_m: 1, ...part };
}

describe("pipeBore", () => {
  it("finds every size that it lists", () => {
    for (const material of materials) {
      for (const size of pipeSizes(material)) {
        const bore = pipeBore(pipe({ material, nominal_m: size.nominal_m }));
        expect(bore.insideDiameter_m).toBe(size.insideDiameter_m);
        expect(bore.label.startsWith(`${size.label} `)).toBe(true);
        expect(bore.roughness_m / bore.insideDiameter_m).toBeLessThan(0.05);
      }
    }
  });

  it("lists sizes from small to large, each wider than the one before", () => {
    for (const material of materials) {
      const sizes = pipeSizes(material);
      sizes.slice(1).forEach((size, i) => {
        expect(size.nominal_m).toBeGreaterThan(sizes[i]?.nominal_m ?? Number.NaN);
        expect(size.insideDiameter_m).toBeGreaterThan(sizes[i]?.insideDiameter_m ?? Number.NaN);
      });
    }
  });

  it("takes a measured bore over the table's", () => {
    expect(pipeBore(pipe({ nominal_m: 0.0381, insideDiameter_m: 0.0404 }))).toMatchObject({
      insideDiameter_m: 0.0404,
      label: "1-1/2 in PVC schedule 40",
    });
    expect(pipeBore(pipe({ insideDiameter_m: 0.0404 })).label).toBe("PVC schedule 40");
  });

  it("does not take one size for another, and lists those it knows", () => {
    expect(() => pipeBore(pipe({ nominal_m: 0.04 }))).toThrow("a size of 0.04 m");
    expect(() => pipeBore(pipe({ nominal_m: 0.04 }))).toThrow("1 in, 1-1/4 in, 1-1/2 in, 2 in");
    expect(() => pipeBore(pipe({}))).toThrow("has no size and no inside diameter");
  });
});
