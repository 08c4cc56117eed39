import { describe, expect, it } from "vitest";
import { readShelving, shelvingText } from "../../../daemon/publishers/shelving.ts";

const shelving = { until_s: 1_772_604_510.123_456_7, by: "Ann", reason: "new pump" };
const read = (topic: string, text: string) => readShelving(topic, Buffer.from(text));

describe("an alarm that is shelved by the broker", () => {
  it("is read as it was written, and so is one that is taken off the shelf", () => {
    expect(read("shelve/high-water", shelvingText(shelving))).toEqual({ alarm: "high-water", ...shelving });
    const back = { until_s: null, by: "Ann", reason: null };
    expect(read("shelve/high-water", shelvingText(back))).toEqual({ alarm: "high-water", ...back });
  });

  it("needs no reason, and writes one line of the log", () => {
    expect(read("shelve/high-water", '{"until_s": 5, "by": "Ann"}')?.reason).toBeNull();
    const text = shelvingText({ ...shelving, reason: "new\npump" });
    expect(read("shelve/high-water", text)?.reason).toBe("new pump");
  });

  it.each([
    ["an answer", "acknowledge/high-water", shelvingText(shelving)],
    ["one of no alarm that is known", "shelve/high-tide", shelvingText(shelving)],
    ["one that was taken back", "shelve/high-water", ""],
    ["one that says no time", "shelve/high-water", '{"by": "Ann"}'],
    ["nobody's", "shelve/high-water", '{"until_s": 5, "by": ""}'],
    ["one of a tale", "shelve/high-water", `{"until_s": 5, "by": "Ann", "reason": "${"x".repeat(121)}"}`],
  ])("is not %s", (_what, topic, text) => {
    expect(read(topic, text)).toBeNull();
  });
});
