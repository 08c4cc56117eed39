// Head that water has by its speed: the measure in which friction and fittings are counted.

/** Standard acceleration of gravity, exact by definition (CGPM 1901). */
export const gravity_ms2 = 9.80665;

/** Mean velocity in a round pipe, m/s. */
export function pipeVelocity_ms(flow_m3s: number, insideDiameter_m: number): number {
  return flow_m3s / ((Math.PI / 4) * insideDiameter_m ** 2);
}

/** v²/2g, m. */
export function velocityHead_m(velocity_ms: number): number {
  return velocity_ms ** 2 / (2 * gravity_ms2);
}
