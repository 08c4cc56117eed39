// Pipes by material and the size that the trade calls them: inside diameter, roughness and C, with their sources.
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
  /** Coefficient of Hazen and Williams; null where none is published. */
  readonly hazenWilliamsC: number | null;
  /** Standard uncertainty of the pipe's own loss, as a share of it. */
  readonly uLoss: number;
  /** For a person to read: `1-1/2 in PVC schedule 40`. */
  readonly label: string;
  readonly sources: { readonly bore: string; readonly roughness: string; readonly c: string | null };
}

/** What stands as the source of a figure that the site gives itself. */
export const bySite = "as the site gives it";

/** The sizes that a material is known in, smallest first. */
export function pipeSizes(material: PipeMaterial): readonly PipeSize[] {
  return materials[material].sizes;
}

/** For a person to read: `PVC schedule 40`. */
export function materialLabel(material: PipeMaterial): string {
  return materials[material].label;
}

/**
 * Bore, roughness and C of a pipe. What the site gives itself outranks the table.
 *
 * @throws {RangeError} when the pipe has neither an inside diameter nor a size that the table knows; it lists those
 */
export function pipeBore(pipe: PipeSite): PipeBore {
  const { label, source, roughness, c, sizes, uLoss = uSmoothPipe } = materials[pipe.material];
  const size = sizes.find(({ nominal_m }) => Math.abs(nominal_m - (pipe.nominal_m ?? Number.NaN)) < sizeTolerance_m);
  const insideDiameter_m = pipe.insideDiameter_m ?? size?.insideDiameter_m;
  if (insideDiameter_m === undefined) {
    const found = pipe.nominal_m === null ? "no size" : `a size of ${pipe.nominal_m} m`;
    const known = sizes.map((each) => each.label).join(", ");
    throw new RangeError(`pipeBore: ${label} has ${found} and no inside diameter; its sizes are ${known}`);
  }
  return {
    insideDiameter_m,
    roughness_m: pipe.roughness_m ?? roughness.roughness_m,
    hazenWilliamsC: pipe.hazenWilliamsC ?? c.c,
    uLoss,
    label: size === undefined ? label : `${size.label} ${label}`,
    sources: {
      bore: pipe.insideDiameter_m === null ? source : bySite,
      roughness: pipe.roughness_m == null ? roughness.source : bySite,
      c: pipe.hazenWilliamsC == null ? c.source : bySite,
    },
  };
}

/** Apart enough for rounding, not for a neighbouring size. */
const sizeTolerance_m = 0.0002;

/**
 * Loss of new smooth pipe, as a share of it: its bore is between the largest that the standard allows, which is in the
 * table, and the mean of the allowed, which takes 6.3 % more (walls of ASTM D1785, 1-1/2 in schedule 40; GUM 4.3.7).
 */
const uSmoothPipe = 0.063 / Math.sqrt(3);

interface Material {
  readonly label: string;
  /** Of the sizes. */
  readonly source: string;
  readonly roughness: { readonly roughness_m: number; readonly source: string };
  readonly c: { readonly c: number | null; readonly source: string | null };
  /** Where it is more than that of new smooth pipe; common practice, no source. */
  readonly uLoss?: number;
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

// ASTM B88: outside diameter and walls of types K, L and M.
const copperWalls = [
  ["3/4", 0.875, 0.065, 0.045, 0.032],
  ["1", 1.125, 0.065, 0.05, 0.035],
  ["1-1/4", 1.375, 0.065, 0.055, 0.042],
  ["1-1/2", 1.625, 0.072, 0.06, 0.049],
  ["2", 2.125, 0.083, 0.07, 0.058],
  ["2-1/2", 2.625, 0.095, 0.08, 0.065],
  ["3", 3.125, 0.109, 0.09, 0.072],
  ["4", 4.125, 0.134, 0.11, 0.095],
] as const;
const copper = (type: 2 | 3 | 4) => copperWalls.map((row) => inches(row[0], row[1], row[type]));

// EN ISO 1452-2, PVC-U up to 90 mm: outside diameter, minimum wall of series S 10 and S 6.3, from memory.
const pvcPn10 = [
  millimetres(32, 1.6),
  millimetres(40, 1.9),
  millimetres(50, 2.4),
  millimetres(63, 3),
  millimetres(75, 3.6),
  millimetres(90, 4.3),
];
const pvcPn16 = [
  millimetres(25, 1.9),
  millimetres(32, 2.4),
  millimetres(40, 3),
  millimetres(50, 3.7),
  millimetres(63, 4.7),
  millimetres(75, 5.6),
  millimetres(90, 6.7),
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

// ASTM D2239: pipe for inserted fittings has the bores of schedule 40, from memory.
const insideSized = schedule40;

// Hose is called by its bore.
const hose = [inches("1", 1, 0), inches("1-1/4", 1.25, 0), inches("1-1/2", 1.5, 0), inches("2", 2, 0)];

const manual = "EPANET 2.2 User Manual, table of roughness";
const plastic = { roughness_m: toSi(0.005e-3, "ft"), source: `${manual}: plastic, 0.005 thousandths of a foot` };
const galvanised = { roughness_m: toSi(0.5e-3, "ft"), source: `${manual}: galvanised iron, 0.5 thousandths of a foot` };
const drawn = { roughness_m: 1.5e-6, source: "Moody (1944): drawn tubing, from memory" };
// Ripples differ widely: a measured pump rate outranks whatever is computed for such a hose.
const corrugated = {
  roughness_m: 1e-3,
  source: "Manning's n 0.015 for corrugated plastic tubing (from memory), through Strickler, (21.1·n)⁶",
};

const plasticC = { c: 150, source: `${manual}: plastic, 140 to 150` };
const galvanisedC = { c: 120, source: `${manual}: galvanised iron, 120` };
const copperC = { c: 140, source: "common practice, no source" };
const noC = { c: null, source: null };

const d1785 = "ASTM D1785: outside diameter less two minimum walls";
const b88 = "ASTM B88: outside diameter less two walls";
const iso4427 = "ISO 4427-2:2007, PE 100: outside diameter less two minimum walls";
const iso1452 = "EN ISO 1452-2 (from memory): outside diameter less two minimum walls";
const plasticPipe = { roughness: plastic, c: plasticC };
const copperTube = { source: b88, roughness: drawn, c: copperC };

const materials: Readonly<Record<PipeMaterial, Material>> = {
  "pvc-40": { label: "PVC schedule 40", source: d1785, ...plasticPipe, sizes: schedule40 },
  "pvc-80": { label: "PVC schedule 80", source: d1785, ...plasticPipe, sizes: schedule80 },
  "abs-40": {
    label: "ABS schedule 40",
    source: "ASTM D2661 (from memory), as D1785",
    ...plasticPipe,
    sizes: schedule40,
  },
  "abs-80": {
    label: "ABS schedule 80",
    source: "ASTM D1527 (from memory), as D1785",
    ...plasticPipe,
    sizes: schedule80,
  },
  "copper-k": { label: "copper type K", ...copperTube, sizes: copper(2) },
  "copper-l": { label: "copper type L", ...copperTube, sizes: copper(3) },
  "copper-m": { label: "copper type M", ...copperTube, sizes: copper(4) },
  "galvanised-steel": {
    label: "galvanised steel schedule 40",
    source: "ASME B36.10M (from memory), as ASTM D1785",
    roughness: galvanised,
    c: galvanisedC,
    uLoss: 0.15,
    sizes: schedule40,
  },
  "pvc-pn10": { label: "PVC-U PN 10", source: iso1452, ...plasticPipe, sizes: pvcPn10 },
  "pvc-pn16": { label: "PVC-U PN 16", source: iso1452, ...plasticPipe, sizes: pvcPn16 },
  "pe-sidr": {
    label: "PE for inserted fittings",
    source: "ASTM D2239 (from memory): the bores of schedule 40",
    ...plasticPipe,
    sizes: insideSized,
  },
  "pe-sdr11": { label: "PE SDR 11", source: iso4427, ...plasticPipe, sizes: sdr11 },
  "pe-sdr17": { label: "PE SDR 17", source: iso4427, ...plasticPipe, sizes: sdr17 },
  "corrugated-hose": {
    label: "corrugated hose",
    source: "its name is its bore; common practice, no source",
    roughness: corrugated,
    c: noC,
    uLoss: 0.3,
    sizes: hose,
  },
};

/** Every material, in the order in which a list offers them. */
export const pipeMaterials: readonly PipeMaterial[] = Object.keys(materials).filter(
  (name): name is PipeMaterial => name in materials,
);
