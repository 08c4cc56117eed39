// Figures of the sizing answer, in the units of the contract, each with how sure it is. `u95` is the half-width of the
// interval that holds the true value with 95 % probability; null where nothing says how sure the figure is.

export interface SizingFlow {
  readonly lpm: number;
  readonly u95_lpm: number | null;
  /** More may have come in: water stood at the rim, came faster than readings could follow, while nothing was read, in a long run without a level, or beside a pump that nothing tells of. */
  readonly at_least?: true;
}

/** A flow whose interval is not the same to both sides. */
export interface SizingFlowRange {
  readonly lpm: number;
  readonly low_lpm: number;
  readonly high_lpm: number;
}

export interface SizingVolume {
  readonly l: number;
  readonly u95_l: number | null;
}

export interface SizingRatio {
  readonly value: number;
  readonly u95: number | null;
}

/** Times that come of a division are not the same to both sides; null above: it may never come. */
export interface SizingTime {
  readonly s: number;
  readonly low_s: number | null;
  readonly high_s: number | null;
}

/** One line of a sum that a person can do again with a pencil, in the units that the site shows. */
export interface HandStep {
  /** What is worked out: "room up to the floor". */
  readonly what: string;
  /** The sum with its figures: "10 in × 1.1 gal per inch". */
  readonly sum: string;
  /** What comes out, with its unit: "11 gal". */
  readonly result: string;
  /** Where rule or figure come from; null where it is plain arithmetic. */
  readonly source: string | null;
}
