// Outside the database: readings to where they outlive the process, and everything that the card does not have yet onto
// it, as a page of the file of recent ones.

import type { Recent } from "../recent/recent.ts";
import type { IntoDatabase } from "./into-database.ts";
import { hasNews, noNews, type Progress, total } from "./progress.ts";

export interface OntoCard {
  /** Readings since the last time, to where they outlive the process. */
  note(): void;
  /** Everything that the card does not have yet, onto it; into the database where the recent ones have no room for it. */
  keep(): void;
}

export function ontoCard(recent: Recent, progress: Progress, { fold }: Pick<IntoDatabase, "fold">): OntoCard {
  const { waiting, news } = progress;
  return {
    note() {
      const { noted, written } = progress;
      if (progress.asWhole || noted >= total(progress)) return;
      recent.note({ firstNth: noted + 1, readings: waiting.readings.slice(noted - written) });
      progress.noted = total(progress);
    },
    keep() {
      if (progress.inLog) fold("durable", false);
      const { onCard, written } = progress;
      if (onCard >= total(progress) && !hasNews(progress)) return;
      const startsAnew = recent.isNearlyFull();
      const from = startsAnew ? written : Math.max(written, onCard);
      const batch = {
        firstNth: from + 1,
        readings: waiting.readings.slice(from - written),
        cycles: startsAnew ? [...waiting.cycles.items()] : news.cycles,
        findings: startsAnew ? [...waiting.findings.items()] : news.findings,
      };
      if (recent.keep(batch, startsAnew)) {
        progress.onCard = progress.noted = total(progress);
        noNews(progress);
      } else {
        fold("durable", true);
      }
    },
  };
}
