// Fetches what a chart shows: waits until a gesture pauses, drops answers that are no longer wanted, and leaves the old
// drawing in place until the new answer is there.

import type { Span } from "../../daemon/stores/store.ts";

export interface SpanLoader {
  /**
   * Asks for a span. A gesture's request waits until it pauses and aborts the one under way; a request that only keeps
   * up with time lets the one under way finish, and comes at most once a second. The last one wanted is always fetched.
   */
  want(span: Span, points: number, reason: "gesture" | "time"): void;
  stop(): void;
}

export interface SpanLoaderOptions<Answer> {
  fetch(span: Span, points: number, signal: AbortSignal): Promise<Answer>;
  done(answer: Answer, span: Span): void;
  failed(error: unknown): void;
  /** True while an answer is awaited. */
  busy?(loading: boolean): void;
  readonly pause_ms?: number;
  readonly shortestInterval_ms?: number;
}

export function createSpanLoader<Answer>(options: SpanLoaderOptions<Answer>): SpanLoader {
  const { pause_ms = 90, shortestInterval_ms = 1000 } = options;
  let timer: ReturnType<typeof setTimeout> | null = null;
  let running: AbortController | null = null;
  let asked_ms = Number.NEGATIVE_INFINITY;
  let later: { span: Span; points: number } | null = null;

  async function load(span: Span, points: number): Promise<void> {
    running?.abort();
    const mine = new AbortController();
    running = mine;
    asked_ms = performance.now();
    options.busy?.(true);
    try {
      const answer = await options.fetch(span, points, mine.signal);
      if (running === mine) options.done(answer, span);
    } catch (error) {
      if (running === mine) options.failed(error);
    } finally {
      if (running === mine) {
        running = null;
        options.busy?.(false);
        if (later) want(later.span, later.points, "time");
      }
    }
  }

  function want(span: Span, points: number, reason: "gesture" | "time"): void {
    if (reason === "time" && (running || timer !== null)) {
      later = { span, points };
      return;
    }
    later = null;
    if (timer !== null) clearTimeout(timer);
    const wait_ms = reason === "time" ? Math.max(0, asked_ms + shortestInterval_ms - performance.now()) : pause_ms;
    timer = setTimeout(() => {
      timer = null;
      const latest = later ?? { span, points };
      later = null;
      void load(latest.span, latest.points);
    }, wait_ms);
  }

  return {
    want,
    stop() {
      if (timer !== null) clearTimeout(timer);
      timer = null;
      later = null;
      running?.abort();
      running = null;
    },
  };
}
