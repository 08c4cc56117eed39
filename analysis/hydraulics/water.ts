// Density and viscosity of water by temperature, at the pressure of the air. What flows through the pipe is loss's job.

/**
 * Density of water that holds no air.
 *
 * @param temperature_c 0 to 40 °C
 * @returns kg/m³, to 0.001 %
 * @throws {RangeError} outside 0 to 40 °C
 * @see Tanaka et al. (2001), Recommended table for the density of water between 0 °C and 40 °C, Metrologia 38, 301–309
 */
export function waterDensity_kgm3(temperature_c: number): number {
  const t = liquidTemperature(temperature_c);
  return 999.97495 * (1 - ((t - 3.983035) ** 2 * (t + 301.797)) / (522528.9 * (t + 69.34881)));
}

/**
 * Dynamic viscosity of water.
 *
 * @param temperature_c 0 to 40 °C
 * @returns Pa·s, to 1 %
 * @throws {RangeError} outside 0 to 40 °C
 * @see IAPWS R12-08 (2008), recommended correlation at 0.1 MPa
 */
export function waterViscosity_pas(temperature_c: number): number {
  const t = (liquidTemperature(temperature_c) + 273.15) / 300;
  return (280.68 * t ** -1.9 + 511.45 * t ** -7.7 + 61.131 * t ** -19.6 + 0.45903 * t ** -40) * 1e-6;
}

/**
 * Kinematic viscosity of water, viscosity over density.
 *
 * @param temperature_c 0 to 40 °C
 * @returns m²/s
 * @throws {RangeError} outside 0 to 40 °C
 */
export function waterKinematicViscosity_m2s(temperature_c: number): number {
  return waterViscosity_pas(temperature_c) / waterDensity_kgm3(temperature_c);
}

function liquidTemperature(temperature_c: number): number {
  if (temperature_c >= 0 && temperature_c <= 40) return temperature_c;
  throw new RangeError(`water: the temperature is ${temperature_c} °C; its properties are known from 0 to 40 °C`);
}
