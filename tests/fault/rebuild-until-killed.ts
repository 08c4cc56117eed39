// A child that rebuilds a store and never comes to an end with it.
// Run: node rebuild-until-killed.ts STORE

import { writeSync } from "node:fs";
import { openSqliteStore } from "../../daemon/stores/sqlite-store.ts";

const store = openSqliteStore(process.argv[2] ?? "");
store.rebuild(() => {
  for (let n = 0; ; n++) {
    store.saveInflow({ from_s: n, to_s: n + 1, inflow_m3s: 0, uInflow_m3s: 0 });
    store.saveFinding({
      kind: "power-lost",
      severity: "info",
      from_s: n,
      to_s: null,
      evidence: {},
      message: "x".repeat(1000), // more than the cache holds: it reaches the disk before it is committed
    });
    if (n % 1000 === 999) writeSync(1, `written ${n}\n`);
  }
});
