import { describe, expect, it } from "vitest";
import { wrapped } from "../../../daemon/report/wrapped.ts";

const words = Array.from({ length: 40 }, (_, i) => `word${i}`).join(" ");

describe("wrapped", () => {
  it("goes on below, two columns further in, and loses nothing", () => {
    const lines = wrapped(words);
    expect(lines.length).toBeGreaterThan(2);
    expect(Math.max(...lines.map(({ length }) => length))).toBeLessThanOrEqual(110);
    expect(lines.map((line) => /^ */.exec(line)?.[0].length)).toEqual([2, ...lines.slice(1).map(() => 4)]);
    expect(lines.map((line) => line.trim()).join(" ")).toBe(words);
  });

  it("keeps the margin that a line has, and a per cent sign with its figure", () => {
    expect(wrapped(`  ${words}`).map((line) => /^ */.exec(line)?.[0].length)).toEqual([4, 6, 6]);
    const full = "x".repeat(105);
    expect(wrapped(`${full} 1 % more`)).toEqual([`  ${full}`, "    1 % more"]);
  });

  it("leaves alone what is short or aligned by hand, and breaks no word", () => {
    expect(wrapped("short")).toEqual(["  short"]);
    const table = `inflow  ${words}`;
    expect(wrapped(table)).toEqual([`  ${table}`]);
    const address = `https://example.org/${"x".repeat(120)}`;
    expect(wrapped(`see ${address}`)).toEqual(["  see", `    ${address}`]);
  });
});
