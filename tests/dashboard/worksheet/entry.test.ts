import { describe, expect, it } from "vitest";
import { entryText, readEntry, unitWord } from "../../../dashboard/worksheet/entry.ts";
import { type Field, fields } from "../../../dashboard/worksheet/fields.ts";

const value = (text: string, field: Field, system: "us" | "metric" = "us") => {
  const entry = readEntry(text, field, system);
  return entry.ok ? entry.value : entry.problem;
};

describe("what is typed into a field", () => {
  it("is in the field's own unit when it names none, in the one it names otherwise", () => {
    expect(value("18", fields.diameter)).toBeCloseTo(0.4572, 12); // 18 × 25.4 mm
    expect(value("18", fields.diameter, "metric")).toBeCloseTo(0.18, 12);
    expect(value("45.72 cm", fields.diameter)).toBeCloseTo(0.4572, 12);
    expect(value("30 gpm", fields.curveFlow, "metric")).toBeCloseTo(30 * 6.30901964e-5, 12);
    expect(value("50", fields.occupied, "us")).toBeCloseTo(50 * 0.0254 ** 2, 12);
    expect(value("50 cm2", fields.occupied, "us")).toBeCloseTo(0.005, 12);
  });

  it("may be a fraction as the trade writes it, or have a comma", () => {
    expect(value("5-1/2", fields.stop)).toBeCloseTo(5.5 * 0.0254, 12);
    expect(value("5 1/2", fields.stop)).toBeCloseTo(5.5 * 0.0254, 12);
    expect(value("5½ in", fields.stop)).toBeCloseTo(5.5 * 0.0254, 12);
    expect(value("5,5", fields.stop)).toBeCloseTo(5.5 * 0.0254, 12);
  });

  it("is told where it must lie when it is under zero, and not that it has no unit", () => {
    expect(value("-3", fields.highPoint)).toMatch(/^Expected .*0 ft.*, found -3\.$/);
    expect(value("-3", fields.highPoint)).not.toMatch(/such as/);
  });

  it("is not known when it is empty", () => {
    expect(value("  ", fields.start)).toBeNull();
  });

  it("is a plain number where there is no unit, or the word beside the field", () => {
    expect(value("1.5", fields.factor)).toBe(1.5);
    expect(value("75 Ah", fields.capacity)).toBe(75);
  });

  it("is refused in a sentence that says what was expected and what was found", () => {
    expect(value("0", fields.diameter)).toBe("Expected more than 0 in and at most 393.7 in, found 0.");
    expect(value("0.9", fields.factor)).toBe("Expected from 1 times to 10 times, found 0.9.");
    expect(value("wide", fields.diameter)).toMatch(/^Expected a length with its unit, such as 18 in .*, found wide\.$/);
    expect(value("3 gpm", fields.diameter)).toMatch(/^Expected a length/);
    expect(value("many", fields.capacity)).toBe("Expected a number, such as 12, found many.");
    expect(value("-3", fields.stop)).toMatch(/found -3\.$/);
  });

  it.each(Object.entries(fields))("comes back as it was shown: %s", (_, field: Field) => {
    for (const system of ["us", "metric"] as const) {
      const shown = entryText(field.least + (field.most - field.least) / 7, field, system);
      const read = readEntry(shown, field, system);
      expect(read.ok && entryText(read.value, field, system)).toBe(shown);
    }
  });

  it("has its unit in a word, squares as they are written", () => {
    expect(unitWord(fields.occupied, "us")).toBe("in²");
    expect(unitWord(fields.capacity, "metric")).toBe("Ah");
  });
});
