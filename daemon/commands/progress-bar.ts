// A bar on standard error, only on a terminal and only once the work has taken a second.

const patience_ms = 1000;
const barLength = 30;

export function progressBar(name: string): { show(done: number, total: number): void; clear(): void } {
  const started_ms = performance.now();
  let shown = -1;
  return {
    show: (done, total) => {
      if (!process.stderr.isTTY || !(total > 0) || performance.now() - started_ms < patience_ms) return;
      const percent = Math.floor((100 * done) / total);
      if (percent === shown) return;
      shown = percent;
      const filled = Math.round((barLength * percent) / 100);
      process.stderr.write(`\r${name} ${"█".repeat(filled)}${"░".repeat(barLength - filled)} ${percent} %`);
    },
    clear: () => {
      if (shown >= 0) process.stderr.write("\r\x1b[K");
    },
  };
}
