import { describe, expect, it } from "vitest";
import { parseQuantity, QuantityError } from "../../../analysis/units/quantity.ts";
import { type Dimension, fromSi, siUnit, toSi, type Unit, units, unitsOf } from "../../../analysis/units/unit.ts";
import * as fc from "../../at-random.ts";

describe("parseQuantity", () => {
  // By hand from 1 in = 25.4 mm, 1 US gal = 231 in³, both exact.
  it.each<[string, Dimension, number]>([
    ["18 in", "length", 0.4572],
    ["45.7 cm", "length", 0.457],
    ["1-1/2 in", "length", 0.0381],
    ["1 1/2 in", "length", 0.0381],
    ["1½ in", "length", 0.0381],
    ["3/4 in", "length", 0.01905],
    ['18"', "length", 0.4572],
    ["8 ft", "length", 2.4384],
    ["50 cm2", "area", 0.005],
    ["50 cm²", "area", 0.005],
    ["2 sq ft", "area", 0.18580608],
    ["14 L", "volume", 0.014],
    ["14 litres", "volume", 0.014],
    ["5 gal", "volume", 0.01892705892],
    ["1 ft3", "volume", 0.028316846592],
    ["30 L/min", "flow", 0.0005],
    ["30 lpm", "flow", 0.0005],
    ["3.6 m3/h", "flow", 0.001],
    ["6 s", "duration", 6],
    ["50 ms", "duration", 0.05],
    ["2 min", "duration", 120],
    ["1 h", "duration", 3600],
    ["0.5 kW", "power", 500],
    ["10 °C", "temperature", 10],
    ["50 °F", "temperature", 10],
    ["-40 °F", "temperature", -40],
    ["0 in", "length", 0],
    ["  2e3 mm ", "length", 2],
    ["18IN", "length", 0.4572],
    [".5 m", "length", 0.5],
  ])("reads %s", (text, dimension, expected) => {
    expect(parseQuantity(text, dimension)).toBe(expected);
  });

  it("reads 1 gpm as the 0.0630901964 L/s of NIST SP 811", () => {
    expect(parseQuantity("1 gpm", "flow")).toBeCloseTo(6.30901964e-5, 15);
  });

  it("reads 1 hp as the 745.6998716 W of NIST SP 811", () => {
    expect(parseQuantity("1 hp", "power")).toBeCloseTo(745.6998716, 6);
  });

  it.each<[string, Dimension, string]>([
    ["", "length", "found an empty text"],
    ["18", "length", "found 18 without a unit"],
    ["in", "length", 'found "in"'],
    ["18 furlong", "length", 'found "18 furlong"'],
    ["18 gpm", "length", 'found "18 gpm", which is a flow'],
    ["18 in", "volume", 'found "18 in", which is a length'],
    ["-3 in", "length", "found -3 in, which is negative"],
    ["1/2/3 in", "length", 'found "1/2/3 in"'],
    ["1/0 in", "length", 'found "1/0 in"'],
    ["1-3/2 in", "length", 'found "1-3/2 in"'],
    ["1.5.2 in", "length", 'found "1.5.2 in"'],
    ["18,5 cm", "length", 'found "18,5 cm"'],
    ["NaN in", "length", 'found "NaN in"'],
    ["Infinity m", "length", 'found "Infinity m"'],
    ["1e999 m", "length", 'found "1e999 m", which is too large'],
    ["8 ft 6 in", "length", 'found "8 ft 6 in"'],
    ["18 in\nor so", "length", 'found "18 in\\nor so"'],
  ])("does not read %j", (text, dimension, message) => {
    expect(() => parseQuantity(text, dimension)).toThrow(message);
  });

  it("says what is expected and which units there are", () => {
    expect(() => parseQuantity("18", "length")).toThrow(
      "expected a length with its unit, such as 18 in (units: mm, cm, m, in, ft), found 18 without a unit",
    );
  });

  it("reads a negative length only where a sign is allowed", () => {
    expect(parseQuantity("-20 mm", "length", { signed: true })).toBe(-0.02);
    expect(parseQuantity("-1-1/2 in", "length", { signed: true })).toBe(-0.0381);
  });

  it("gives a finite number or a QuantityError for any text", () => {
    fc.assert(
      fc.property(fc.oneof(fc.string(), fc.stringMatching(/^[-+0-9./ e]*(in|cm|gpm| )*$/)), (text) => {
        try {
          expect(Number.isFinite(parseQuantity(text, "length"))).toBe(true);
        } catch (error) {
          expect(error).toBeInstanceOf(QuantityError);
        }
      }),
    );
  });

  it("reads every decimal in every unit as the product with its factor", () => {
    fc.assert(
      fc.property(anyUnit, fc.double({ min: 0, max: 1e6, noNaN: true }), (unit, value) => {
        expect(parseQuantity(`${value} ${unit}`, units[unit].dimension)).toBe(toSi(value, unit));
      }),
    );
  });

  it("reads every mixed fraction as its decimal value", () => {
    fc.assert(
      fc.property(fc.nat(99), fc.integer({ min: 1, max: 63 }), (whole, above) => {
        const expected = (whole + above / 64) * 0.0254;
        expect(parseQuantity(`${whole}-${above}/64 in`, "length")).toBeCloseTo(expected, 12);
        expect(parseQuantity(`${whole} ${above}/64 in`, "length")).toBeCloseTo(expected, 12);
      }),
    );
  });
});

describe("fromSi", () => {
  it.each<[number, Unit, number]>([
    [0.0254, "mm", 25.4],
    [0.3048, "ft", 1],
    [0.001, "L", 1],
    [0.003785411784, "gal", 1],
    [0.001, "L/min", 60],
    [20, "°F", 68],
  ])("turns %d SI into %s", (value, unit, expected) => {
    expect(fromSi(value, unit)).toBeCloseTo(expected, 12);
  });

  it("gives the trade's 7.480519481 gal in a cubic foot (NIST SP 811)", () => {
    expect(fromSi(toSi(1, "ft3"), "gal")).toBeCloseTo(7.480519481, 9);
  });

  it("undoes toSi", () => {
    fc.assert(
      fc.property(anyUnit, fc.double({ min: -1e6, max: 1e6, noNaN: true }), (unit, value) => {
        expect(Math.abs(fromSi(toSi(value, unit), unit) - value)).toBeLessThanOrEqual(1e-9 * (1 + Math.abs(value)));
      }),
    );
  });
});

describe("unitsOf", () => {
  it("lists the SI unit of every dimension that has one", () => {
    for (const dimension of Object.keys(siUnit).filter((name): name is Dimension => name in siUnit)) {
      if (dimension !== "share") expect(unitsOf(dimension)).toContain(siUnit[dimension]);
    }
    expect(unitsOf("share")).toEqual(["%"]);
  });
});

const anyUnit = fc.constantFrom(...Object.keys(units).filter((name): name is Unit => name in units));
