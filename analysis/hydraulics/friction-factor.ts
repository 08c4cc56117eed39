// The Darcy friction factor of a round pipe, from laminar to fully rough. The loss that follows is in pipe-loss.ts.

const laminarEnd = 2000;
const turbulentStart = 4000;

export type FlowRegime = "at-rest" | "laminar" | "transition" | "turbulent";

/** Reynolds number below which a loss is less than any head that is spoken of, and 64/Re would leave the numbers. */
const atRest = 1e-6;

/** @param reynolds 0 or above */
export function flowRegime(reynolds: number): FlowRegime {
  if (reynolds < atRest) return "at-rest";
  if (reynolds <= laminarEnd) return "laminar";
  return reynolds < turbulentStart ? "transition" : "turbulent";
}

/**
 * Darcy friction factor f: 64/Re up to Re 2000; the root of Colebrook–White, to the last digit, from Re 4000 on. In
 * between no formula is right, since the flow itself wavers: there a cubic in Re leaves the one curve and meets the other
 * with their slopes, so that the loss stays smooth and keeps rising with the flow.
 *
 * @param reynolds          velocity · inside diameter / kinematic viscosity, above 0
 * @param relativeRoughness roughness over inside diameter, 0 (smooth) to 1; published charts end at 0.05
 * @returns f, dimensionless; four times the Fanning factor
 * @throws {RangeError} on an argument outside those bounds
 * @see Colebrook (1939), J. Inst. Civ. Eng. 11, 133–156
 */
export function frictionFactor(reynolds: number, relativeRoughness: number): number {
  if (!(reynolds > 0 && reynolds < Number.POSITIVE_INFINITY)) {
    throw new RangeError(`frictionFactor: Re is ${reynolds}; it must be above 0`);
  }
  if (!(relativeRoughness >= 0 && relativeRoughness <= 1)) {
    throw new RangeError(`frictionFactor: the relative roughness is ${relativeRoughness}; it must be from 0 to 1`);
  }
  if (reynolds <= laminarEnd) return 64 / reynolds;
  if (reynolds >= turbulentStart) return colebrook(reynolds, relativeRoughness).factor;
  return transition(reynolds, relativeRoughness);
}

/** 1/√f = −2 lg(ε/(3.7 D) + 2.51/(Re √f)), by Newton's method on x = 1/√f; concave, so it converges. */
function colebrook(reynolds: number, relativeRoughness: number): { factor: number; slope: number } {
  const rough = relativeRoughness / 3.7;
  const viscous = 2.51 / reynolds;
  const perDecade = 2 / Math.LN10;
  let x = -1.8 * Math.log10(rough ** 1.11 + 6.9 / reynolds); // Haaland (1983)
  for (let i = 0; i < 20; i++) {
    const inside = rough + viscous * x;
    const step = (x + perDecade * Math.log(inside)) / (1 + (perDecade * viscous) / inside);
    x -= step;
    if (Math.abs(step) <= 1e-15 * x) break;
  }
  const weight = (perDecade * viscous) / (rough + viscous * x);
  return { factor: 1 / (x * x), slope: (-2 * weight) / ((1 + weight) * reynolds * x * x) };
}

function transition(reynolds: number, relativeRoughness: number): number {
  const width = turbulentStart - laminarEnd;
  const t = (reynolds - laminarEnd) / width;
  const from = 64 / laminarEnd;
  const fromSlope = (-from / laminarEnd) * width;
  const { factor: to, slope } = colebrook(turbulentStart, relativeRoughness);
  const toSlope = slope * width;
  return (
    from +
    t * (fromSlope + t * (3 * (to - from) - 2 * fromSlope - toSlope + t * (2 * (from - to) + fromSlope + toSlope)))
  );
}
