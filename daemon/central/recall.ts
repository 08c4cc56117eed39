// Basins of which the broker keeps nothing: what the database last knew of them, so that a silent one says since when, and
// one that was in trouble stays so.

import type { Finding } from "../../analysis/findings/finding.ts";
import type { Basin, Basins } from "./basins.ts";
import type { Database } from "./database.ts";

export interface RecallParts {
  readonly basins: Pick<Basins, "all" | "recall">;
  readonly database: Database;
  log(line: string): void;
}

/** More than that many are asked for bit by bit as their pages are opened. */
const mostAsked = 500;
const mostFindings = 50;

/** Asks for one after the other; stops where the database does not answer. */
export async function recallUnheard({ basins, database, log }: RecallParts): Promise<void> {
  const unheard = [...basins.all()].filter(({ heard }) => heard.situation === null && heard.reading_s === null);
  for (const basin of unheard.slice(0, mostAsked)) {
    try {
      await recallOne(basin, database, basins);
    } catch (error) {
      log(`${error instanceof Error ? error.message : error}; silent basins do not say since when`);
      return;
    }
  }
}

async function recallOne(basin: Basin, database: Database, basins: RecallParts["basins"]): Promise<void> {
  const record = database.record(basin.name);
  const span = await record.span();
  if (span === null) return;
  const last = await record.findings({ from_s: span.to_s, to_s: span.to_s }, mostFindings);
  const open: Finding[] = last.filter(({ to_s }) => to_s === null);
  basins.recall(basin, span.to_s, open);
}
