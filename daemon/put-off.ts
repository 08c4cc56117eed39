// A store whose results can be put off for a moment: what somebody must be told of a reading leaves before the card is
// waited for.

import type { Store } from "./stores/store.ts";

export interface PutOff {
  /** The same store. */
  readonly store: Store;
  /** What is saved meanwhile is saved at its end, in the same order; also where the work fails. */
  during(work: () => void): void;
}

export function putOff(store: Store): PutOff {
  let waiting: (() => void)[] | null = null;
  const soon = (save: () => void) => {
    if (waiting === null) save();
    else waiting.push(save);
  };
  return {
    store: {
      ...store,
      saveCycle: (cycle) => soon(() => store.saveCycle(cycle)),
      saveFinding: (finding) => soon(() => store.saveFinding(finding)),
      saveInflow: (stretch) => soon(() => store.saveInflow(stretch)),
    },
    during(work) {
      const saves: (() => void)[] = [];
      waiting = saves;
      try {
        work();
      } finally {
        waiting = null;
        for (const save of saves) save();
      }
    },
  };
}
