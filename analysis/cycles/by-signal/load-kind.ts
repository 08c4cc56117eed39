// What pump motors draw, by the quantity that is read.

/** Of the quantity that is read, in its unit. */
export interface LoadKind {
  /** A controller or a lamp on the same line stays below. */
  readonly least: number;
  /** Nothing that stands draws more. */
  readonly mostStanding: number;
}

// Common practice, no source.
export const currentLoad: LoadKind = { least: 0.5, mostStanding: 2 };
export const powerLoad: LoadKind = { least: 50, mostStanding: 200 };

/** So many times as much the smallest pump motors draw; common practice, no source. */
export const smallest = 2;
