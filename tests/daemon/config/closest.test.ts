import { describe, expect, it } from "vitest";
import { closest } from "../../../daemon/config/closest.ts";

const known = ["start_level", "stop_level", "high_level", "depth", "port"];

describe("closest", () => {
  it.each([
    ["start_lvel", "start_level"],
    ["stoplevel", "stop_level"],
    ["High-Level", "high_level"],
    ["dept", "depth"],
    ["Port", "port"],
  ])("takes %s for %s", (word, meant) => {
    expect(closest(word, known)).toBe(meant);
  });

  it.each(["basin", "", "x", "level_of_the_water", "a".repeat(10_000)])("has no idea what %j is", (word) => {
    expect(closest(word, known)).toBeUndefined();
  });
});
