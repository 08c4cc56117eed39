import { describe, expect, it } from "vitest";
import { type Reading, silentReading } from "../../../../analysis/readings/reading.ts";
import { decodeChunk, encodeChunk } from "../../../../daemon/stores/chunk/chunk.ts";
import { cutter, fullChunk_B } from "../../../../daemon/stores/chunk/cutter.ts";

/** Some 1.5 mm of noise on a sensor of 0.1 mm, the same in each run. */
function noisy(count: number): Reading[] {
  let state = 1;
  return Array.from({ length: count }, (_, i) => {
    let sum = 0;
    for (let k = 0; k < 12; k++) {
      state = (Math.imul(state, 1_103_515_245) + 12_345) >>> 0;
      sum += state / 2 ** 32 - 0.5; // twelve of them: a standard deviation of 1
    }
    return { ...silentReading, time_s: i, level_m: Math.round(2000 + 3 * (i % 600) + 15 * sum) / 10_000 };
  });
}

/** As the store does: readings come one by one. */
function chunksOf(readings: readonly Reading[]) {
  const cut = cutter();
  const waiting: Reading[] = [];
  const chunks: Uint8Array[] = [];
  for (const reading of readings) {
    waiting.push(reading);
    const chunk = cut.isDue(waiting.length)
      ? cut.cut(waiting.length, (count) => encodeChunk(waiting.slice(0, count)))
      : null;
    if (chunk === null) continue;
    waiting.splice(0, chunk.count);
    chunks.push(chunk.bytes);
  }
  return { chunks, waiting };
}

describe("cutter", () => {
  it("fills pages to the last hundredth, and none over its end, with the readings in their order", () => {
    const readings = noisy(60_000);
    const { chunks, waiting } = chunksOf(readings);
    expect(chunks.length).toBeGreaterThan(4);
    for (const bytes of chunks) {
      expect(bytes.length).toBeLessThanOrEqual(fullChunk_B);
      expect(bytes.length).toBeGreaterThan(0.98 * fullChunk_B);
    }
    expect([...chunks.flatMap(decodeChunk), ...waiting]).toEqual(readings);
  });

  it("finds the page's end anew when a sensor becomes worse, or better", () => {
    const quiet = Array.from({ length: 30_000 }, (_, i) => ({ ...silentReading, time_s: i, level_m: 0.25 }));
    const odd = Array.from({ length: 5000 }, (_, i) => ({ ...silentReading, time_s: i, level_m: Math.sqrt(i + 2) }));
    const readings = [...quiet, ...odd, ...noisy(20_000), ...quiet];
    const { chunks, waiting } = chunksOf(readings);
    expect(Math.max(...chunks.map((bytes) => bytes.length))).toBeLessThanOrEqual(fullChunk_B);
    expect(waiting.length).toBeLessThanOrEqual(16_384); // bounded memory, whatever comes
    expect([...chunks.flatMap(decodeChunk), ...waiting]).toEqual(readings);
  });
});
