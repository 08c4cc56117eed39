import { describe, expect, it } from "vitest";
import type { Finding } from "../../../../analysis/findings/finding.ts";
import { influxRecord } from "../../../../daemon/stores/influx/influx-record.ts";
import { findingPoint } from "../../../../daemon/stores/influx/points.ts";
import { asRow } from "./as-row.ts";

const begun_s = 1_795_700_000;

/** Newest first, as they are asked for. */
const rows = Array.from({ length: 100 }, (_, n) => {
  const finding: Finding = {
    ...{ kind: "high-water", severity: "critical", from_s: begun_s - n, to_s: begun_s },
    ...{ evidence: {}, message: `${n}` },
  };
  return asRow(findingPoint("a", finding));
});

/** A database that has these rows, and heeds LIMIT and OFFSET. */
function databaseOf(all: readonly Record<string, unknown>[]) {
  return {
    async query(statement: string) {
      const [, limit, offset] = /LIMIT (\d+) OFFSET (\d+)/.exec(statement) ?? [];
      return all.slice(Number(offset), Number(offset) + Number(limit));
    },
  };
}

describe("findings of a basin in the database", () => {
  it("are the newest that hold, however many among them do not", async () => {
    for (const one of [{ known: 0 }, { kind: "of-a-newer-board" }]) {
      const some = rows.map((row, n) => (n % 3 === 0 ? { ...row, ...one } : row));
      const found = await influxRecord(databaseOf(some), "a").findings({ from_s: 0, to_s: begun_s }, 10);
      expect(found.map(({ message }) => Number(message))).toEqual([1, 2, 4, 5, 7, 8, 10, 11, 13, 14]);
    }
  });
});
