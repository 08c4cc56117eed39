// What takes the record as a whole into one transaction: rows of a recording, and everything derived anew. While it is
// open nothing else is written.

import type { Recent } from "../recent/recent.ts";
import type { Intake } from "../store.ts";
import { intake } from "./intake.ts";
import type { IntoDatabase } from "./into-database.ts";
import { noNews, type Progress } from "./progress.ts";
import type { Tables } from "./tables.ts";
import type { Transactions } from "./transactions.ts";

export interface WholeRecord {
  /** Of rows that come after all readings, which are in the database. */
  intake(): Intake;
  /** @param fill saves what is derived */
  rebuild(fill: () => void): void;
}

export function wholeRecord(
  tables: Tables,
  recent: Recent,
  transactions: Transactions,
  progress: Progress,
  { putForward }: Pick<IntoDatabase, "putForward">,
): WholeRecord {
  return {
    intake() {
      const { written, noted } = progress;
      const { commit, rollback } = transactions.begin("durable");
      progress.asWhole = true;
      return intake({
        put(chunk, rows) {
          tables.putRows(progress.written + 1, rows, chunk);
          progress.written += chunk.count;
        },
        commit() {
          tables.endRows();
          commit();
          progress.noted = progress.onCard = progress.written;
          progress.asWhole = false;
        },
        rollback() {
          tables.revert();
          rollback();
          Object.assign(progress, { written, noted, asWhole: false });
        },
      });
    },
    rebuild(fill) {
      progress.asWhole = true;
      try {
        transactions.run("durable", () => {
          putForward(progress.written);
          tables.clearDerived();
          tables.rollups.rebuild();
          fill();
          tables.writeDerived();
          tables.record.setBatches(recent.sequence());
        });
        progress.waiting.forward.clear();
      } catch (error) {
        tables.revert();
        throw error;
      } finally {
        progress.asWhole = false;
        noNews(progress);
      }
    },
  };
}
