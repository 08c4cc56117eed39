// A board's forwarder: the program's own, on a record in memory, so that what comes over the wire is what boards send.

import { forwardRecord } from "../../../daemon/forward/forward-record.ts";
import type { Store } from "../../../daemon/stores/store.ts";
import { databaseName } from "../../../deploy/central/database-accounts.ts";
import type { MemoryRecord } from "./memory-record.ts";
import type { TrueMessages } from "./true-messages.ts";

export interface Forwarding {
  /** What the board saves in. */
  readonly record: MemoryRecord;
  isDone(): boolean;
  /** How it stands, for whoever looks into a failure. */
  why(): string;
  /** Readings that are in the database, as it acknowledged them. */
  sent(): number;
  sent_bytes(): number;
  close(): Promise<void>;
}

export interface ForwardingOptions {
  readonly url: string;
  readonly name: string;
  /** File of the authority, and the folder of the board's passwords. */
  readonly ca: string;
  readonly baseFolder: string;
  readonly truth: TrueMessages;
  log(line: string): void;
}

/** As the site file has it where nothing else is said. */
const every_s = 5;

export function startForwarding(record: MemoryRecord, options: ForwardingOptions): Forwarding {
  const { url, name, ca, baseFolder, truth, log } = options;
  const config = {
    ...{ url, database: databaseName, username: name, password_file: "database", tls: { ca }, timeout: 30 },
    ...{ basin: name, every_s, replaces: null },
  };
  // Of the store, forwarding uses what the record in memory has.
  const { store, start } = forwardRecord(record as Store, config);
  const forwarder = start({
    ...{ baseFolder, siteInfo: truth.site, summary: () => truth.summary, log },
    now_s: () => (performance.timeOrigin + performance.now()) / 1000,
  });
  return {
    record: {
      ...store,
      saveCycle(cycle) {
        store.saveCycle(cycle);
        forwarder.nudge();
      },
      saveFinding(finding) {
        store.saveFinding(finding);
        forwarder.nudge();
      },
    },
    isDone: () => forwarder.health().waiting === 0 && forwarder.health().state === "current",
    why: () => JSON.stringify(forwarder.health()),
    sent: () => forwarder.spent().readings,
    sent_bytes: () => forwarder.spent().sent_B,
    close: () => forwarder.close(),
  };
}
