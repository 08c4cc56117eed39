import { describe, expect, it } from "vitest";
import { askByTime, type Question } from "../../../../daemon/stores/influx/basin-query.ts";

const begin_s = 1_700_000_000;

/** What is asked, as spans in whole seconds, and the rest of the question. */
async function asked(from_s: number, to_s: number, each_s: number) {
  const spans: [number, number][] = [];
  const rests = new Set<string | undefined>();
  const rows = await askByTime(
    async ({ where = "", rest }: Question) => {
      const [, from, to] = /^time >= (\d+) AND time <= (\d+)$/.exec(where) ?? [];
      spans.push([Number(BigInt(from ?? 0) / 1_000_000_000n), Number((BigInt(to ?? 0) + 1n) / 1_000_000_000n)]);
      rests.add(rest);
      return [{ time: Number(from) / 1000 }];
    },
    { select: ["sum(levels)"], from: "level_10m" },
    { from_s, to_s },
    each_s,
  );
  return { spans, rests: [...rests], times: rows.map(({ time }) => time) };
}

describe("sums by equal parts of time", () => {
  it("are asked for some thousand at once, none twice and none left out", async () => {
    const { spans, rests, times } = await asked(begin_s, begin_s + 12_000 * 600, 600);
    const ends = spans.map(([, end_s]) => end_s);
    expect(spans.map(([from_s]) => from_s)).toEqual([begin_s, ...ends.slice(0, -1)]);
    expect(ends.at(-1)).toBe(begin_s + 12_000 * 600);
    for (const end_s of ends.slice(0, -1)) expect(end_s % 600).toBe(0); // no part is asked for by halves
    for (const [from_s, end_s] of spans) expect((end_s - from_s) / 600).toBeLessThanOrEqual(5000);
    expect(rests).toEqual(["GROUP BY time(600s) fill(none)"]);
    expect(times).toEqual(times.toSorted());
  });

  it("are one question where there are few", async () => {
    expect((await asked(begin_s, begin_s + 4000 * 60, 60)).spans).toHaveLength(1);
  });

  it("are none of a span that ends before it begins", async () => {
    expect((await asked(Number.POSITIVE_INFINITY, begin_s, 60)).spans).toEqual([]);
  });
});
