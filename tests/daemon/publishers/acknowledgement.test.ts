import { describe, expect, it } from "vitest";
import { acknowledgementText, readAcknowledgement } from "../../../daemon/publishers/acknowledgement.ts";

const answer = { from_s: 1_772_604_510.123_456_7, by: "Ann" };
const read = (topic: string, text: string) => readAcknowledgement(topic, Buffer.from(text));

describe("an answer to an alarm by the broker", () => {
  it("is read as it was written, to the last digit of when the alarm began", () => {
    const text = acknowledgementText(answer);
    expect(read("acknowledge/high-water", text)).toEqual({ alarm: "high-water", ...answer });
  });

  it("writes one line of the log, whatever its name is", () => {
    const text = acknowledgementText({ from_s: 1, by: " Ann\nalarms: all is well\u001b[2K " });
    expect(read("acknowledge/high-water", text)?.by).toBe("Ann alarms: all is well [2K");
  });

  it.each([
    ["no alarm that is known", "acknowledge/high-tide", acknowledgementText(answer)],
    ["another topic", "finding/high-water", acknowledgementText(answer)],
    ["a topic below", "acknowledge/high-water/more", acknowledgementText(answer)],
    ["one that was taken back", "acknowledge/high-water", ""],
    ["no JSON", "acknowledge/high-water", "OK 17"],
    ["nobody's name", "acknowledge/high-water", '{"from_s": 1, "by": " "}'],
    ["no time", "acknowledge/high-water", '{"by": "Ann"}'],
    ["far too much", "acknowledge/high-water", `{"from_s": 1, "by": "Ann", "x": "${"x".repeat(1000)}"}`],
  ])("is not %s", (_what, topic, text) => {
    expect(read(topic, text)).toBeNull();
  });
});
