// The database's configuration: TLS and accounts from the first start on, nothing said to its makers, and bounds that
// keep one mistaken writer from filling the machine.

import { databaseUser } from "./accounts-of-system.ts";
import { keepFile, keepFolderOf } from "./keep-file.ts";
import { type Machine, ownAddress } from "./machine.ts";
import type { Places } from "./places.ts";

export function keepDatabaseFile(places: Places, machine: Machine): void {
  keepFolderOf(databaseUser, places.database.data);
  keepFile(places.database.conf, configuration(places, machine), { mode: 0o640, reader: databaseUser });
}

function configuration({ database: { data }, tls }: Places, machine: Machine): string {
  const { databasePort, rpcPort, listen } = machine;
  return `# The record of all boards. Written by \`undercroft-central set-up\`, which writes over what is changed here.

reporting-enabled = false
# Backup and restore; it asks for no password, so it stays inside the machine.
bind-address = "127.0.0.1:${rpcPort}"

[meta]
  dir = "${data}/meta"
  logging-enabled = false

[data]
  dir = "${data}/data"
  wal-dir = "${data}/wal"
  # A write is acknowledged when it is on disk; those that come within so long share one sync.
  wal-fsync-delay = "20ms"
  query-log-enabled = false
  # Held in memory before it is written: from so much on it is, and beyond the second figure writes have to wait.
  cache-snapshot-memory-size = "50m"
  cache-max-memory-size = "500m"
  # Half of the processors at most, so that boards are not kept waiting.
  max-concurrent-compactions = 1
  # A board has some ten series. Only the index in memory heeds these bounds.
  index-version = "inmem"
  max-series-per-database = 500000
  max-values-per-tag = 20000

[coordinator]
  write-timeout = "10s"
  query-timeout = "60s"
  max-concurrent-queries = 50
  log-queries-after = "10s"

[retention]
  check-interval = "30m"

[monitor]
  store-enabled = false

[http]
  bind-address = "${listen === null ? "" : ownAddress(machine)}:${databasePort}"
  auth-enabled = true
  https-enabled = true
  https-certificate = "${tls}/database.pem"
  https-private-key = "${tls}/database.key"
  log-enabled = false
  pprof-enabled = false
  max-body-size = 10000000
  max-row-limit = 0

[tls]
  min-version = "tls1.2"

[ifql]
  enabled = false

[subscriber]
  enabled = false

[continuous_queries]
  log-enabled = false

[logging]
  format = "logfmt"
  level = "warn"
`;
}
