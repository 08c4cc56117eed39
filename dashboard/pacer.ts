// Does a costly task when it is wanted, one at a time, and rests after each; wishes meanwhile come to one.

export interface Pace {
  readonly shortestPause_ms: number;
  /** The task takes up no more of the time than this, 0…1. */
  readonly shareOfTime: number;
}

export interface Pacer {
  want(): void;
}

/** @param task one that throws is tried again after the rest */
export function createPacer(task: () => Promise<void>, { shortestPause_ms, shareOfTime }: Pace): Pacer {
  let wanted = false;
  let busy = false;

  async function work(): Promise<void> {
    busy = true;
    while (wanted) {
      wanted = false;
      const began_ms = performance.now();
      await task().catch(() => {
        wanted = true;
      });
      const took_ms = performance.now() - began_ms;
      await new Promise((done) => setTimeout(done, Math.max(shortestPause_ms, took_ms / shareOfTime)));
    }
    busy = false;
  }

  return {
    want() {
      wanted = true;
      if (!busy) void work();
    },
  };
}
