// How much of the bends in a rest's fitted course to believe: a steady inflow bends by noise alone, and the highest of many
// such bends is no peak.

import type { RestFit } from "./fit-rest.ts";

const parts = 4;
/** Bends count from so many times the squares that noise makes of them. */
const clearly = 3;

/**
 * Share of the way from the mean to the course, after James and Stein: 0 where noise explains the bends, near 1 where they
 * stand clear of it.
 *
 * @see James & Stein (1961), Estimation with quadratic loss, Proc. 4th Berkeley Symp. 1, 361–379: the positive part
 */
export function shareOfBends(fit: Pick<RestFit, "seenFrom_s" | "seenTo_s" | "inflow" | "inflowOver">): number {
  const { seenFrom_s, seenTo_s, inflow } = fit;
  const length_s = (seenTo_s - seenFrom_s) / parts;
  let bends = 0;
  let noise = 0;
  for (let i = 0; i < parts; i += 1) {
    const from_s = seenFrom_s + i * length_s;
    const part = fit.inflowOver(from_s, from_s + length_s);
    bends += (part.flow_m3s - inflow.flow_m3s) ** 2;
    // The errors of a part and of the whole are alike as far as the whole's go.
    noise += Math.max(0, part.uFlow_m3s ** 2 - inflow.uFlow_m3s ** 2);
  }
  return bends > 0 ? Math.max(0, 1 - (clearly * noise) / bends) : 1;
}

/**
 * How far off a bend may be of which that share is believed: what noise makes of bends, of which the highest of many is
 * looked for; nothing where none is believed, and where all are.
 */
export function uBend_m3s(share: number, bend_m3s: number): number {
  return Math.sqrt(share * (1 - share)) * Math.abs(bend_m3s);
}
