// Puts the parts of forwarding together. Listens to the store from before the analysis starts, for what that derives once
// more is to be sent once more.

import { createHash, randomBytes } from "node:crypto";
import type { ReportSummary } from "../../analysis/report/report.ts";
import type { ForwardConfig } from "../config/site-file.ts";
import type { SiteInfo } from "../server/api-types.ts";
import { basinPoint } from "../stores/influx/points.ts";
import type { Store } from "../stores/store.ts";
import { type Changed, type Derived, noteChanges } from "./changes.ts";
import { clockCheck } from "./clock-check.ts";
import { databaseClient } from "./database-client.ts";
import { type Forwarder, type Pace, startForwarder, usualPace } from "./forwarder.ts";
import { nameClaim } from "./name-claim.ts";
import { recordQueue } from "./record-queue.ts";

export interface ForwardParts {
  readonly baseFolder: string;
  readonly siteInfo: SiteInfo;
  summary(): ReportSummary;
  now_s(): number;
  log(line: string): void;
  readonly pace?: Partial<Pace>;
  /** Two boards that claim a name at once see each other after so long. */
  readonly settle_ms?: number;
}

export interface Forwarding {
  /** What the analysis is to save in. */
  readonly store: Store;
  start(parts: ForwardParts): Forwarder;
}

export function forwardRecord(store: Store, config: ForwardConfig): Forwarding {
  const before = new Map<Derived, number>(); // from when on each kind has changed before the start
  let changed: Changed = (kind, begin_s) => {
    before.set(kind, Math.min(before.get(kind) ?? begin_s, begin_s));
  };

  return {
    store: noteChanges(store, (...change) => changed(...change)),
    start(parts) {
      const { baseFolder, siteInfo, summary, now_s, log, pace = {}, settle_ms } = parts;
      const { basin, every_s, replaces } = config;
      const queue = recordQueue(store, basin, targetOf(config));
      changed = queue.changed;
      for (const [kind, begin_s] of before) queue.changed(kind, begin_s);
      const client = databaseClient(config, baseFolder);
      const clock = clockCheck(siteInfo.playing === null ? now_s : null);
      const claim = nameClaim(client, config, {
        ...{ basin, board: store.forward.board(), replaces, run: randomBytes(8).toString("hex") },
        ...(settle_ms !== undefined && { settle_ms }),
        heard: ({ date_s }) => clock.heard(date_s),
      });
      return startForwarder({
        ...{ connection: config, basin, client, queue, claim, clock, now_s, log, putBack: store.putBack() },
        facts: () => basinPoint(basin, { info: siteInfo, summary: summary(), said_s: now_s() }),
        pace: { ...usualPace, every_s, ...pace },
      });
    },
  };
}

/** Where the record goes: in another database, or under another name, nothing of it is there yet. */
function targetOf({ url, database, basin }: ForwardConfig): string {
  return createHash("sha256")
    .update(JSON.stringify([new URL(url).href, database, basin]))
    .digest("hex")
    .slice(0, 16);
}
