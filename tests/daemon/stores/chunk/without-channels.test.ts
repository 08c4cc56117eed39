import { describe, expect, it } from "vitest";
import { silentReading } from "../../../../analysis/readings/reading.ts";
import { decodeChunk, encodeChunk } from "../../../../daemon/stores/chunk/chunk.ts";
import { withoutChannels } from "../../../../daemon/stores/chunk/without-channels.ts";

const readings = [0.1, 0.2, null].map((level_m, i) => ({
  ...silentReading,
  time_s: i,
  level_m,
  pumpOn: i === 1,
}));

describe("withoutChannels", () => {
  it("leaves every reading in its place, without those channels", () => {
    const { bytes, untouched } = withoutChannels(encodeChunk(readings), ["level_m", "rain_m"]);
    expect(untouched).toBe(false);
    expect(decodeChunk(bytes ?? Uint8Array.of())).toStrictEqual(readings.map((one) => ({ ...one, level_m: null })));
  });

  it("gives the very same bytes where it has none of them", () => {
    const chunk = encodeChunk(readings);
    expect(withoutChannels(chunk, ["rain_m"])).toEqual({ untouched: true, bytes: chunk });
  });

  it("gives none where nothing but times is left", () => {
    expect(withoutChannels(encodeChunk(readings), ["level_m", "pumpOn"]).bytes).toBeNull();
  });
});
