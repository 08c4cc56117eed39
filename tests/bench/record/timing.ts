// Times of work done again and again: on the clock, and of the processor alone, which others on the machine lengthen less.

export interface Timed {
  readonly clock_ms: number;
  readonly cpu_ms: number;
}

export function once(work: () => unknown): Timed {
  const [cpu, begin] = [process.cpuUsage(), performance.now()];
  work();
  return { clock_ms: performance.now() - begin, cpu_ms: cpuSince(cpu) };
}

export async function onceAsync(work: () => Promise<unknown>): Promise<Timed> {
  const [cpu, begin] = [process.cpuUsage(), performance.now()];
  await work();
  return { clock_ms: performance.now() - begin, cpu_ms: cpuSince(cpu) };
}

/** Rounds before those that count warm it up, as a daemon is that has been asked before; `prepare` is not timed. */
export interface Rounds {
  readonly warmUp?: number;
  readonly prepare?: () => void;
}

export function median(work: () => unknown, rounds: number, how: Rounds = {}): Timed {
  return quantile(work, rounds, 0.5, how);
}

export function quantile(
  work: () => unknown,
  rounds: number,
  share: number,
  { warmUp = 10, prepare = () => {} }: Rounds = {},
): Timed {
  const round = () => {
    prepare();
    return once(work);
  };
  const times = Array.from({ length: rounds + warmUp }, round).slice(warmUp);
  const at = (figure: (one: Timed) => number) =>
    times.map(figure).sort((a, b) => a - b)[Math.floor((rounds - 1) * share)] ?? Number.NaN;
  return { clock_ms: at(({ clock_ms }) => clock_ms), cpu_ms: at(({ cpu_ms }) => cpu_ms) };
}

function cpuSince(before: NodeJS.CpuUsage): number {
  const { user, system } = process.cpuUsage(before);
  return (user + system) / 1000;
}
