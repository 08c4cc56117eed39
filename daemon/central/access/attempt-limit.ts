// How often a password may be tried by one who is known by an address or a name: after a few wrong ones each further one
// has to wait, longer every time. Bounded memory; time is an argument.

export interface AttemptLimit {
  /** Seconds until the next attempt is allowed; 0: now. */
  wait_s(who: string, now_s: number): number;
  failed(who: string, now_s: number): void;
  succeeded(who: string): void;
}

/** Slips of the finger. */
const free = 5;
const firstWait_s = 2;
/** After so long without an attempt all is forgotten. */
const forget_s = 3600;
const mostKnown = 10_000;

interface Tries {
  readonly count: number;
  readonly last_s: number;
}

export function attemptLimit(longestWait_s: number): AttemptLimit {
  // In the order of the last attempt: what is longest ago goes first.
  const tries = new Map<string, Tries>();

  function current(who: string, now_s: number): Tries {
    const known = tries.get(who);
    return known === undefined || now_s - known.last_s > forget_s ? { count: 0, last_s: now_s } : known;
  }

  return {
    wait_s(who, now_s) {
      const { count, last_s } = current(who, now_s);
      if (count < free) return 0;
      return Math.max(0, last_s + Math.min(longestWait_s, firstWait_s * 2 ** (count - free)) - now_s);
    },
    failed(who, now_s) {
      const count = current(who, now_s).count + 1;
      tries.delete(who);
      tries.set(who, { count, last_s: now_s });
      const oldest = tries.keys().next().value;
      if (tries.size > mostKnown && oldest !== undefined) tries.delete(oldest);
    },
    succeeded: (who) => void tries.delete(who),
  };
}
