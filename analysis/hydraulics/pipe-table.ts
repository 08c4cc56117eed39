// Pipes by material and the size that the trade calls them: inside diameter and roughness, with their sources.
// Inside diameters of schedule pipe are outside diameter less two minimum walls, as published friction tables use them.

import type { PipeMaterial, PipeSite } from "../site.ts";
import { parseQuantity } from "../units/quantity.ts";
import { toSi } from "../units/unit.ts";

export interface PipeSize {
  readonly nominal_m: number;
  /** As the trade writes it: `1-1/2 in`, `50 mm`. */
  readonly label: string;
  readonly insideDiameter_m: number;
}

export interface PipeBore {
  readonly insideDiameter_m: number;
  readonly roughness_m: number;
  /** For a person to read: `1-1/2 in PVC schedule 40`. */
  readonly label: string;
}

/** The sizes that a material is known in, smallest first. */
export function pipeSizes(material: PipeMaterial): readonly PipeSize[] {
  return materials[material].sizes;
}

/**
 * Bore and roughness of a pipe. An inside diameter that the site gives outranks the table.
 *
 * @throws {RangeError} when the pipe has neither an inside diameter nor a size that the table knows; it lists those
 */
export function pipeBore(pipe: PipeSite): PipeBore {
  const { label, roughness_m, sizes } = materials[pipe.material];
  const size = sizes.find(({ nominal_m }) => Math.abs(nominal_m - (pipe.nominal_m ?? Number.NaN)) < sizeTolerance_m);
  const insideDiameter_m = pipe.insideDiameter_m ?? size?.insideDiameter_m;
  if (insideDiameter_m === undefined) {
    const found = pipe.nominal_m === null ? "no size" : `a size of ${pipe.nominal_m} m`;
    const known = sizes.map((each) => each.label).join(", ");
    throw new RangeError(`pipeBore: ${label} has ${found} and no inside diameter; its sizes are ${known}`);
  }
  return { insideDiameter_m, roughness_m, label: size === undefined ? label : `${size.label} ${label}` };
}

/** Apart enough for rounding, not for a neighbouring size. */
const sizeTolerance_m = 0.0002;

interface Material {
  readonly label: string;
  readonly roughness_m: number;
  readonly sizes: readonly PipeSize[];
}

/** `1-1/2` in inches with its outside diameter and wall in inches. */
function inches(label: string, outside_in: number, wall_in: number): PipeSize {
  const named = `${label} in`;
  return {
    nominal_m: parseQuantity(named, "length"),
    label: named,
    insideDiameter_m: toSi(outside_in - 2 * wall_in, "in"),
  };
}

/** Metric pipe is called by its outside diameter. */
function millimetres(outside_mm: number, wall_mm: number): PipeSize {
  return {
    nominal_m: outside_mm / 1000,
    label: `${outside_mm} mm`,
    insideDiameter_m: (outside_mm - 2 * wall_mm) / 1000,
  };
}

// ASTM D1785, tables 1 and 2: outside diameter, minimum wall.
const schedule40 = [
  inches("1", 1.315, 0.133),
  inches("1-1/4", 1.66, 0.14),
  inches("1-1/2", 1.9, 0.145),
  inches("2", 2.375, 0.154),
  inches("2-1/2", 2.875, 0.203),
  inches("3", 3.5, 0.216),
  inches("4", 4.5, 0.237),
];
const schedule80 = [
  inches("1", 1.315, 0.179),
  inches("1-1/4", 1.66, 0.191),
  inches("1-1/2", 1.9, 0.2),
  inches("2", 2.375, 0.218),
  inches("2-1/2", 2.875, 0.276),
  inches("3", 3.5, 0.3),
  inches("4", 4.5, 0.337),
];

// ASTM B88, type L.
const copperL = [
  inches("3/4", 0.875, 0.045),
  inches("1", 1.125, 0.05),
  inches("1-1/4", 1.375, 0.055),
  inches("1-1/2", 1.625, 0.06),
  inches("2", 2.125, 0.07),
  inches("2-1/2", 2.625, 0.08),
  inches("3", 3.125, 0.09),
  inches("4", 4.125, 0.11),
];

// ISO 4427-2:2007, PE 100: outside diameter, minimum wall.
const sdr11 = [
  millimetres(25, 2.3),
  millimetres(32, 3),
  millimetres(40, 3.7),
  millimetres(50, 4.6),
  millimetres(63, 5.8),
  millimetres(75, 6.8),
  millimetres(90, 8.2),
  millimetres(110, 10),
];
const sdr17 = [
  millimetres(32, 2),
  millimetres(40, 2.4),
  millimetres(50, 3),
  millimetres(63, 3.8),
  millimetres(75, 4.5),
  millimetres(90, 5.4),
  millimetres(110, 6.6),
];

// Hose is called by its bore. Common practice, no source.
const hose = [inches("1", 1, 0), inches("1-1/4", 1.25, 0), inches("1-1/2", 1.5, 0), inches("2", 2, 0)];

// EPANET 2.2 User Manual, table of roughness: plastic 0.005, galvanised iron 0.5 thousandths of a foot.
const plastic_m = toSi(0.005e-3, "ft");
const galvanised_m = toSi(0.5e-3, "ft");
// Drawn tubing, Moody (1944), from memory.
const drawn_m = 1.5e-6;
// Manning's n = 0.015 for corrugated plastic tubing, from memory, through Strickler: (21.1·n)⁶. Ripples differ widely:
// a measured pump rate outranks whatever is computed for such a hose.
const corrugated_m = 1e-3;

const materials: Readonly<Record<PipeMaterial, Material>> = {
  "pvc-40": { label: "PVC schedule 40", roughness_m: plastic_m, sizes: schedule40 },
  "pvc-80": { label: "PVC schedule 80", roughness_m: plastic_m, sizes: schedule80 },
  // ASTM D2661 has the same diameters and minimum walls, from memory.
  "abs-40": { label: "ABS schedule 40", roughness_m: plastic_m, sizes: schedule40 },
  "copper-l": { label: "copper type L", roughness_m: drawn_m, sizes: copperL },
  // ASME B36.10M has the same diameters and walls, from memory.
  "galvanised-steel": { label: "galvanised steel schedule 40", roughness_m: galvanised_m, sizes: schedule40 },
  "pe-sdr11": { label: "PE SDR 11", roughness_m: plastic_m, sizes: sdr11 },
  "pe-sdr17": { label: "PE SDR 17", roughness_m: plastic_m, sizes: sdr17 },
  "corrugated-hose": { label: "corrugated hose", roughness_m: corrugated_m, sizes: hose },
};
