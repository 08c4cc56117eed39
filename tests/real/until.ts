// Waits for what another process is about to do.

import { setTimeout as sleep } from "node:timers/promises";

/** Returns as soon as it holds. */
export async function until(what: string, holds: () => boolean | Promise<boolean>, limit_ms = 30_000): Promise<void> {
  const end_ms = performance.now() + limit_ms;
  while (!(await holds())) {
    if (performance.now() > end_ms) throw new Error(`not within ${limit_ms} ms: ${what}`);
    await sleep(10);
  }
}
