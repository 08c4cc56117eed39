import { describe, expect, it } from "vitest";
import { floatBobs } from "../../../analysis/cycles/float-bobs.ts";
import { newLevelOut, noteSaid } from "../../../analysis/cycles/level-out.ts";

/** What the float's contact says at each second. */
function bobsIn(contact: string, from_s = 0, to_s = contact.length): number {
  const state = newLevelOut();
  [...contact].forEach((one, time_s) => {
    noteSaid(state, time_s, one === "1");
  });
  return floatBobs(state, from_s, to_s);
}

describe("floatBobs", () => {
  it("counts the openings of seconds within a run", () => {
    expect(bobsIn("0000111110001110011111110000000")).toBe(2);
    expect(bobsIn("0000111110001110011111110000000", 10)).toBe(1);
    expect(bobsIn("0000111110001110011111110000000", 0, 15)).toBe(1);
  });

  it("counts none of a contact that bounces as the float turns over, up or down", () => {
    expect(bobsIn("0000101011111111111110101000000")).toBe(0);
  });

  it("counts none between two runs, however soon the second follows", () => {
    expect(bobsIn("0000111111111110000000111111111100000000")).toBe(0);
  });

  it("counts those of a run that goes on", () => {
    expect(bobsIn("000011111000111111")).toBe(1);
  });
});
