// The records of all basins in the shared database, and what each board wrote there of itself.

import { basinColumns, basinFactsIn } from "../stores/influx/basin-points.ts";
import { askBasin } from "../stores/influx/basin-query.ts";
import { linkToDatabase } from "../stores/influx/database-link.ts";
import { influxRecord } from "../stores/influx/influx-record.ts";
import type { BasinFacts } from "../stores/influx/points.ts";
import type { RecordReader } from "../stores/record-reader.ts";
import type { CentralFile } from "./config/central-file.ts";

export interface Database {
  record(basin: string): RecordReader;
  /** What the basin is and its report so far, as its board wrote it; null where none has. */
  facts(basin: string): Promise<BasinFacts | null>;
}

/**
 * Opens no connection yet.
 * @throws {StoreError} when a password or certificate file cannot be read
 */
export async function openDatabase({ database, baseFolder }: CentralFile): Promise<Database> {
  if (database === null) return noDatabase;
  const link = await linkToDatabase(database, baseFolder);
  return {
    record: (basin) => influxRecord(link, basin),
    async facts(basin) {
      const [row] = await askBasin(link, basin)({ select: basinColumns, from: "basin", rest: "LIMIT 1" });
      return row === undefined ? null : basinFactsIn(row);
    },
  };
}

/** Only what the broker says is known then. */
const noDatabase: Database = {
  record: () => ({
    span: async () => null,
    level: async () => ({ bucket_s: 0, time_s: [], minimum_m: [], maximum_m: [], mean_m: [] }),
    cycles: async () => [],
    inflow: async () => [],
    findings: async () => [],
    async *readings() {},
    rain: async () => null,
  }),
  facts: async () => null,
};
