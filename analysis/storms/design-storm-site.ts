// The storm that the installation must hold, as the person reads it from the public rainfall tables of their place.
// How the rain spreads over the storm's length is distribution.ts's; the inflow that it makes is design-storm.ts's.

/**
 * How the depth is spread over the storm: the four published 24-hour curves of the NRCS (NEH 630 ch. 4, TR-55 app. B),
 * evenly, or as a balanced storm, whose wettest part of every length has the depth that the tables give for that length.
 */
export const rainDistributions = [
  "nrcs-type-1",
  "nrcs-type-1a",
  "nrcs-type-2",
  "nrcs-type-3",
  "uniform",
  "balanced",
] as const;
export type RainDistribution = (typeof rainDistributions)[number];

/** A row of a rainfall table for one return period: the greatest depth in so long a time. */
export interface DepthOfDuration {
  readonly duration_s: number;
  readonly depth_m: number;
}

export interface DesignStormSite {
  readonly depth_m: number;
  readonly duration_s: number;
  readonly distribution: RainDistribution;
  /** Further rows of the same table and return period; only a balanced storm uses them. Null or absent: none given. */
  readonly depths?: readonly DepthOfDuration[] | null;
}
