// How forwarding stands, for page, API and broker.

export interface ForwardHealth {
  /** Name of this basin in the shared database. */
  readonly basin: string;
  /**
   * `current`: all is there. `sending`: it catches up. `waiting`: the database is away and is tried again. `refused`: it
   * answers, and will not take this board's points until somebody has seen to it.
   */
  readonly state: "current" | "sending" | "waiting" | "refused";
  /** Readings that are not there yet. */
  readonly waiting: number;
  /** Begin of the oldest of all that is not there yet; null when everything is. */
  readonly oldest_s: number | null;
  readonly lastSuccess_s: number | null;
  /** Why nothing gets through; null while something does. */
  readonly error: string | null;
  readonly retryAt_s: number | null;
  /** What else a person should know, in a sentence each. */
  readonly notes: readonly string[];
}
