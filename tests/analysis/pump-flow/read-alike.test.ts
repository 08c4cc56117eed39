import { describe, expect, it } from "vitest";
import { newReadAlike, noteReadAlike } from "../../../analysis/pump-flow/read-alike.ts";
import { seededRandom } from "../../../daemon/sources/simulated/random.ts";

/** Of 2000 runs that are read once or not at all, each like the one before it but for one in `changes`. */
function chain(changes: number) {
  const random = seededRandom(7);
  const state = newReadAlike();
  let [readings, unsure] = [0, 1];
  for (let i = 0; i < 2000; i += 1) {
    if (random.uniform() < changes) readings = random.uniform() < 0.5 ? 1 : 0;
    unsure = noteReadAlike(state, readings);
  }
  return unsure;
}

describe("runs that are read alike", () => {
  it("make the mean as unsure as that of a chain with their correlation", () => {
    // The variance of a mean of terms whose correlation is c^k over k terms: (1 + c) / (1 − c) times that of as many
    // independent ones (Priestley, 1981, Spectral Analysis and Time Series, 5.3.2; from memory).
    for (const changes of [0.1, 0.3]) {
      const c = 1 - changes;
      expect(chain(changes) ** 2 / ((1 + c) / (1 - c))).toBeGreaterThan(0.6);
      expect(chain(changes) ** 2 / ((1 + c) / (1 - c))).toBeLessThan(1.6);
    }
  });

  it("make it no surer than readings that fall anywhere", () => {
    expect(chain(1)).toBeLessThan(1.15);
    const state = newReadAlike();
    for (let i = 0; i < 100; i += 1) expect(noteReadAlike(state, i % 2)).toBe(1);
  });

  it("are worth about five where all are read as often: it may be chance that none was read once more", () => {
    const state = newReadAlike();
    let variance = 0;
    for (let i = 0; i < 100; i += 1) variance += noteReadAlike(state, 2) ** 2;
    // As many independent ones would give 100, and 100² would be one run's that came out 100 times.
    expect(variance).toBeGreaterThan(100 * 15);
    expect(variance).toBeLessThan(100 * 25);
  });
});
