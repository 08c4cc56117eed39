// How a long-running command ends: cleanly on the first signal, at once on the second, and cleanly but as a failure
// after a defect.

const signals = ["SIGINT", "SIGTERM", "SIGHUP"] as const;
/** Whatever hangs, the process is gone by then; the service manager waits longer. */
const longestStop_ms = 10_000;

/**
 * Takes over from whatever handled signals and uncaught errors so far.
 * @param stop  everything that was taken is safe when it resolves
 * @param log   takes one line
 */
export function stopOnSignal(stop: () => Promise<void>, log: (line: string) => void): void {
  let stopping = false;

  async function end(status: number): Promise<void> {
    if (stopping) process.exit(status === 0 ? 130 : status);
    stopping = true;
    setTimeout(() => {
      log(`stop: something did not end within ${longestStop_ms / 1000} s; leaving it`);
      process.exit(1);
    }, longestStop_ms).unref();
    try {
      await stop();
      process.exit(status);
    } catch (error) {
      log(`stop: ${inOneLine(error)}`);
      process.exit(1);
    }
  }

  for (const signal of signals) process.on(signal, () => end(0));
  for (const event of ["uncaughtException", "unhandledRejection"] as const) {
    process.removeAllListeners(event);
    process.on(event, (error: unknown) => {
      log(`undercroft: a defect of the program, stopping: ${inOneLine(error)}`);
      if (process.env.UNDERCROFT_DEBUG === "1") console.error(error);
      void end(1);
    });
  }
}

function inOneLine(error: unknown): string {
  return (error instanceof Error ? error.message : String(error)).replaceAll(/\s*\n\s*/g, " ");
}
