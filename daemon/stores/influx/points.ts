// How each kind of record becomes a point of the shared database, and comes back: one file each, and all of them here. A
// record always gives the same point (measurement, tags, time), so that whatever is sent twice is there once.

export { type BasinFacts, basinFactsIn, basinPoint } from "./basin-points.ts";
export { cycleIn, cyclePoint } from "./cycle-points.ts";
export { findingIn, findingPoint } from "./finding-points.ts";
export { inflowIn, inflowPoint, joinedInflowPoint } from "./inflow-points.ts";
export { type LevelSum, levelSumIn, levelSumPoint } from "./level-sum-points.ts";
export { type LevelSums, type LevelSumsState, levelSums } from "./level-sums.ts";
export type { Point, Policy } from "./point.ts";
export { type ReadingEncoder, type ReadingEncoderState, readingEncoder, readingIn } from "./reading-points.ts";
