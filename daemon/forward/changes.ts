// Listens to what the analysis saves in the store: from when on which kind is no longer as it has been sent. That goes
// for what a restart derives once more, too.

import type { Store } from "../stores/store.ts";

export type Derived = "cycle" | "finding" | "inflow";

/** Told of each record that is saved: its kind and its beginning. */
export type Changed = (kind: Derived, begin_s: number) => void;

export function noteChanges(store: Store, changed: Changed): Store {
  return {
    ...store,
    saveCycle(cycle) {
      store.saveCycle(cycle);
      changed("cycle", cycle.startedAt_s);
    },
    saveFinding(finding) {
      store.saveFinding(finding);
      changed("finding", finding.from_s);
    },
    saveInflow(stretch) {
      store.saveInflow(stretch);
      changed("inflow", stretch.from_s);
    },
  };
}
