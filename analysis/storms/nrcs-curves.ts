// The four published 24-hour curves of rain of the NRCS (once the SCS): what share of the day's depth has fallen by when.
// The rain of a storm made from them is design-rain.ts's.

export type NrcsType = "nrcs-type-1" | "nrcs-type-1a" | "nrcs-type-2" | "nrcs-type-3";

/**
 * Share of the depth of 24 hours that has fallen after so many hours, straight between the table's points; the steepest
 * part is tabled each tenth of an hour.
 *
 * @param hours below 0 gives 0, over 24 gives 1
 * @see NRCS, TR-20 rainfall tables (types I and III of 1992, IA and II of 1982); NEH 630 ch. 4 (210-630-H, amend. 88, 2019),
 *      fig. 4-36; TR-55 (1986), app. B. Of type II, TR-55's half-hour list differs by up to 0.002 before 9 h.
 */
export function nrcsShare(type: NrcsType, hours: number): number {
  const { halfHours, steepFrom_h, tenths } = curves[type];
  const steepTo_h = steepFrom_h + (tenths.length - 1) / 10;
  if (hours > steepFrom_h && hours < steepTo_h) return between(tenths, (hours - steepFrom_h) * 10);
  return between(halfHours, hours * 2);
}

function between(table: readonly number[], place: number): number {
  const at = Math.max(0, Math.min(table.length - 1, place));
  const i = Math.min(table.length - 2, Math.floor(at));
  const [low, high] = [table[i] as number, table[i + 1] as number];
  return low + (at - i) * (high - low);
}

interface Curve {
  readonly halfHours: readonly number[];
  readonly steepFrom_h: number;
  readonly tenths: readonly number[];
}

const curves: Record<NrcsType, Curve> = {
  "nrcs-type-1": {
    halfHours: [
      0.0, 0.0087, 0.0174, 0.0262, 0.035, 0.0442, 0.054, 0.0647, 0.076, 0.0878, 0.1, 0.1123, 0.125, 0.1391, 0.156,
      0.1746, 0.194, 0.219, 0.254, 0.303, 0.515, 0.583, 0.623, 0.6555, 0.684, 0.7092, 0.732, 0.7523, 0.77, 0.7862,
      0.802, 0.8173, 0.832, 0.8462, 0.86, 0.8733, 0.886, 0.8982, 0.91, 0.9212, 0.932, 0.9423, 0.952, 0.9613, 0.97,
      0.9783, 0.986, 0.9933, 1.0,
    ],
    steepFrom_h: 9.5,
    tenths: [0.303, 0.3194, 0.3454, 0.3878, 0.4632, 0.515, 0.5322, 0.5476, 0.5612, 0.573, 0.583],
  },
  "nrcs-type-2": {
    halfHours: [
      0.0, 0.0051, 0.0105, 0.0161, 0.022, 0.0281, 0.0345, 0.0411, 0.048, 0.0553, 0.063, 0.0712, 0.08, 0.0892, 0.099,
      0.1093, 0.12, 0.1322, 0.147, 0.163, 0.181, 0.204, 0.235, 0.283, 0.663, 0.735, 0.772, 0.799, 0.82, 0.8376, 0.8535,
      0.8676, 0.88, 0.8912, 0.9018, 0.9117, 0.921, 0.9297, 0.9377, 0.9452, 0.952, 0.9584, 0.9647, 0.9709, 0.977, 0.9829,
      0.9887, 0.9944, 1.0,
    ],
    steepFrom_h: 11,
    tenths: [
      0.235, 0.2427, 0.2513, 0.2609, 0.2715, 0.283, 0.3068, 0.3544, 0.4308, 0.5679, 0.663, 0.682, 0.6986, 0.713, 0.7252,
      0.735,
    ],
  },
  "nrcs-type-3": {
    halfHours: [
      0.0, 0.005, 0.01, 0.015, 0.02, 0.0252, 0.0308, 0.0367, 0.043, 0.0497, 0.0567, 0.0642, 0.072, 0.0806, 0.0905,
      0.1016, 0.114, 0.1284, 0.1458, 0.1659, 0.189, 0.2165, 0.25, 0.298, 0.5, 0.702, 0.75, 0.7835, 0.811, 0.8341,
      0.8543, 0.8716, 0.886, 0.8984, 0.9095, 0.9194, 0.928, 0.9358, 0.9433, 0.9503, 0.957, 0.9634, 0.9694, 0.9752,
      0.9808, 0.986, 0.9909, 0.9956, 1.0,
    ],
    steepFrom_h: 11,
    tenths: [
      0.25, 0.2578, 0.2664, 0.276, 0.2866, 0.298, 0.3143, 0.3394, 0.3733, 0.4166, 0.5, 0.584, 0.6267, 0.6606, 0.6857,
      0.702, 0.7134, 0.724, 0.7336, 0.7422, 0.75,
    ],
  },
  "nrcs-type-1a": {
    halfHours: [
      0.0, 0.01, 0.022, 0.036, 0.051, 0.067, 0.083, 0.099, 0.116, 0.135, 0.156, 0.179, 0.204, 0.233, 0.268, 0.31, 0.425,
      0.48, 0.52, 0.55, 0.577, 0.601, 0.623, 0.644, 0.664, 0.683, 0.701, 0.719, 0.736, 0.753, 0.769, 0.785, 0.8, 0.815,
      0.83, 0.844, 0.858, 0.871, 0.884, 0.896, 0.908, 0.92, 0.932, 0.944, 0.956, 0.967, 0.978, 0.989, 1.0,
    ],
    steepFrom_h: 0,
    tenths: [],
  },
};
