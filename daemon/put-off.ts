// A store whose results can be put off for a moment: what somebody must be told of a reading leaves before the card is
// waited for.

import type { Store } from "./stores/store.ts";

export interface PutOff {
  /** The same store. */
  readonly store: Store;
  /** What is saved meanwhile is saved at its end, in the same order; also where the work fails. */
  during(work: () => void): void;
  /** Done after all that was saved before it. */
  afterwards(work: () => void): void;
}

export function putOff(store: Store): PutOff {
  let waiting: (() => void)[] | null = null;
  const soon = (work: () => void) => {
    if (waiting === null) work();
    else waiting.push(work);
  };
  return {
    store: {
      ...store,
      saveCycle: (cycle) => soon(() => store.saveCycle(cycle)),
      saveFinding: (finding) => soon(() => store.saveFinding(finding)),
      saveInflow: (stretch) => soon(() => store.saveInflow(stretch)),
    },
    during(work) {
      const works: (() => void)[] = [];
      waiting = works;
      try {
        work();
      } finally {
        waiting = null;
        doAll(works);
      }
    },
    afterwards: soon,
  };
}

/** One that fails keeps none of the others from being done. */
function doAll(works: readonly (() => void)[]): void {
  const errors: unknown[] = [];
  for (const work of works) {
    try {
      work();
    } catch (error) {
      errors.push(error);
    }
  }
  if (errors.length > 0) throw errors[0];
}
