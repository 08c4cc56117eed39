// Why nothing gets through to the database, and how soon it is worth another attempt.

export type TroubleKind =
  /** It may be back at any moment. */
  | "away"
  /** It will not take this board's points until a person has seen to it. */
  | "refused";

interface TroubleOptions extends ErrorOptions {
  readonly retryAfter_s?: number | null;
  readonly status?: number | null;
}

export class Trouble extends Error {
  readonly kind: TroubleKind;
  /** It asked to be left alone for so long. */
  readonly retryAfter_s: number | null;
  /** Of its answer; null when there was none, or it was another. */
  readonly status: number | null;

  constructor(kind: TroubleKind, message: string, options: TroubleOptions = {}) {
    super(message, options);
    this.kind = kind;
    this.retryAfter_s = options.retryAfter_s ?? null;
    this.status = options.status ?? null;
  }
}
