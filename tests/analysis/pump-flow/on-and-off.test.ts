import { describe, expect, it } from "vitest";
import { wentOnAndOff } from "../../../analysis/pump-flow/on-and-off.ts";
import { seededRandom } from "../../../daemon/sources/simulated/random.ts";

const falls_m3s = 1e-3;
const sd_m3 = 3e-4;

/** A minute of readings, the fall of each second from `rate_m3s`. */
function course(rate_m3s: (time_s: number) => number, seed: number) {
  const random = seededRandom(seed);
  const readings = Array.from({ length: 60 }, (_, t) => t);
  let volume_m3 = 0.05;
  const y = readings.map((time_s) => {
    volume_m3 -= rate_m3s(time_s);
    return volume_m3 + random.normal(sd_m3);
  });
  return { t: Float64Array.from(readings), y: Float64Array.from(y), n: new Float64Array(60).fill(1), count: 60 };
}

describe("wentOnAndOff", () => {
  const share = (rate_m3s: (time_s: number) => number) =>
    Array.from({ length: 200 }, (_, seed) => wentOnAndOff(course(rate_m3s, seed), falls_m3s, sd_m3)).filter(Boolean)
      .length / 200;

  it("is seen of a pump that runs for five seconds of each ten", () => {
    expect(share((time_s) => (time_s % 10 < 5 ? falls_m3s : 0))).toBe(1);
  });

  it("is not, in hundreds of runs, of one that moves all it usually does, nor of one whose discharge is blocked by half", () => {
    expect(share(() => falls_m3s)).toBe(0);
    expect(share(() => 0.5 * falls_m3s)).toBe(0);
  });

  it("needs more than three readings", () => {
    const three = course(() => 0.5 * falls_m3s, 1);
    expect(wentOnAndOff({ ...three, count: 3 }, falls_m3s, 0)).toBe(false);
  });
});
