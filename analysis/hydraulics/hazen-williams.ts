// Head lost in a pipe after Hazen and Williams, to compare with codes and tables that use it. The program's own figures
// come from pipe-loss.ts, which knows temperature and roughness.

/** 4.727 in feet and cubic feet a second (EPANET 2.2 User Manual, table of headloss formulas), in metres: 10.667. */
const constant = 4.727 * 0.3048 ** (4.871 - 3 * 1.852);

/**
 * Friction loss of water at some 15 °C in turbulent flow.
 *
 * @param flow_m3s         0 or above
 * @param insideDiameter_m above 0
 * @param length_m         0 or above
 * @param c                the Hazen–Williams coefficient: 150 for plastic, 140 for copper, 120 for galvanised steel
 * @returns m
 */
export function hazenWilliamsLoss_m(flow_m3s: number, insideDiameter_m: number, length_m: number, c: number): number {
  return constant * c ** -1.852 * insideDiameter_m ** -4.871 * length_m * flow_m3s ** 1.852;
}
