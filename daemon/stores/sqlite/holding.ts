// When the disk does not take what is written: what waits is held in memory, in bounds, and tried again until it clears.
// The log says when that begins and ends, and when the card is slow.

import type { StoreHealth, StoreOptions } from "../store.ts";
import { faultInWords } from "./fault.ts";
import type { Progress } from "./progress.ts";
import type { Tables } from "./tables.ts";
import { giveUpOldest } from "./waiting.ts";

export interface Holding {
  /** Does it, unless the record as a whole is being written; what the disk does not take is held from then on. */
  attempt(work: () => void): void;
  /** Tries everything that is held again. */
  retry(): void;
  /** What the disk says; null when it takes what is written. */
  error(): string | null;
  /** Gives up the oldest readings beyond what may be held. */
  bound(): void;
  health(): StoreHealth;
  close(): void;
}

export interface WhatIsHeld {
  /** Writes all that is held. */
  writeAll(): void;
  /** Readings that wait were given up. */
  gaveUp(): void;
}

/** A slow card is spoken of so often at most. */
const seldom_s = 86_400;

export function holding(progress: Progress, tables: Tables, what: WhatIsHeld, options: StoreOptions): Holding {
  const { retryAfter_ms = 1000, slowAfter_ms = 2000, mostHeld = 200_000 } = options;
  const { now_s = () => Date.now() / 1000, log = () => {} } = options;
  let fault: { readonly error: string; readonly since_s: number } | null = null;
  let lost = 0;
  let saidSlow_s = Number.NEGATIVE_INFINITY;
  let retryTimer: NodeJS.Timeout | undefined;

  function attempt(work: () => void): void {
    if (progress.asWhole) return;
    const begin_ms = performance.now();
    try {
      work();
    } catch (error) {
      hold(error);
    }
    if (performance.now() - begin_ms >= slowAfter_ms) saySlow((performance.now() - begin_ms) / 1000);
  }

  /** Nothing is lost by it, but whoever looks after the board must hear of it: a card that wears out becomes slow first. */
  function saySlow(took_s: number): void {
    if (now_s() - saidSlow_s < seldom_s) return;
    saidSlow_s = now_s();
    log(
      `store: the card took ${took_s.toFixed(1)} s over one write; readings wait, none is lost; a card that stays so slow is worn out or failing: make a backup and put in another`,
    );
  }

  function hold(error: unknown): void {
    const words = faultInWords(error);
    tables.revert(); // they had taken in what was not written
    if (words === null) throw error;
    if (fault === null) log(`store: ${words}; readings are held in memory until it clears`);
    fault = { error: words, since_s: fault?.since_s ?? now_s() };
    bound();
    retryTimer ??= setTimeout(retry, retryAfter_ms).unref();
  }

  function retry(): void {
    clearTimeout(retryTimer);
    retryTimer = undefined;
    attempt(() => {
      what.writeAll();
      if (fault !== null) {
        log(
          `store: writing again after ${Math.round(now_s() - fault.since_s)} s; ${lost} readings were lost since the start`,
        );
      }
      fault = null;
    });
  }

  /** Of what is held, that which is not on the card. */
  function bound(): void {
    const { waiting, written, onCard } = progress;
    const gone = giveUpOldest(waiting, mostHeld, written, Math.max(0, onCard - written));
    if (gone === 0) return;
    lost += gone;
    progress.noted = Math.min(progress.noted, onCard);
    what.gaveUp();
  }

  return {
    attempt,
    retry,
    bound,
    error: () => fault?.error ?? null,
    health: () => ({
      state: fault === null ? "writing" : "holding",
      held: fault === null ? 0 : progress.waiting.readings.length,
      lost,
      error: fault?.error ?? null,
      since_s: fault?.since_s ?? null,
    }),
    close: () => clearTimeout(retryTimer),
  };
}
