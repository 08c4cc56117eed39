// Small networks for the EPANET engine: water at a level, pumps with their risers, a common pipe in one or more sizes, a
// point up where it leaves. Written as the engine's input text from plain figures; nothing of the program's own is in it.

import { Project, Workspace } from "epanet-js";

export interface NetPipe {
  readonly length_m: number;
  readonly bore_mm: number;
  /** Roughness in mm by Darcy and Weisbach, C by Hazen and Williams. */
  readonly wall: number;
  /** Sum of the loss coefficients. */
  readonly k: number;
}

export interface NetPump {
  /** L/s and m: one point, three, or many between which the engine goes straight. */
  readonly points: readonly (readonly [flow_ls: number, head_m: number])[];
  readonly speed?: number;
  /** Between the pump and where the pumps join; null: it stands at the join. */
  readonly riser: NetPipe | null;
}

export interface Net {
  readonly formula: "D-W" | "H-W";
  readonly lift_m: number;
  readonly pumps: readonly NetPump[];
  /** From the join to where the water leaves. */
  readonly pipes: readonly NetPipe[];
  /** Of the water, relative to the engine's own, 1.1e-5 ft²/s. */
  readonly viscosity?: number;
}

export interface Solved {
  readonly pumpFlow_ls: readonly number[];
  readonly pumpHead_m: readonly number[];
  /** Of all pumps. */
  readonly flow_ls: number;
  readonly joinHead_m: number;
  /** Each common pipe's, fittings included. */
  readonly pipeLoss_m: readonly number[];
  /** What the engine warns of, such as a pump that cannot deliver. */
  readonly warnings: readonly string[];
}

/** 1.1e-5 ft²/s in m²/s. */
export const engineViscosity_m2s = 1.1e-5 * 0.3048 ** 2;

// EN_LinkProperty and EN_NodeProperty of the engine's toolkit; the package's own declarations of them do not resolve.
const linkFlow = 8;
const linkHeadloss = 10;
const nodeHead = 10;

const workspace = new Workspace();
const loaded = workspace.loadModule();

/** Heads and flows as the engine finds them. */
export async function solve(net: Net): Promise<Solved> {
  await loaded;
  const project = new Project(workspace);
  workspace.writeFile("net.inp", inputText(net));
  project.open("net.inp", "net.rpt", "net.out");
  const warnings = warningsOf(() => project.solveH());
  const link = (id: string, property: number): number => project.getLinkValue(project.getLinkIndex(id), property);
  const head = (id: string): number => project.getNodeValue(project.getNodeIndex(id), nodeHead);
  const pumpFlow_ls = net.pumps.map((_, i) => link(`PU${i}`, linkFlow));
  const solved = {
    pumpFlow_ls,
    pumpHead_m: net.pumps.map(({ riser }, i) => head(riser === null ? "J" : `O${i}`)),
    flow_ls: pumpFlow_ls.reduce((sum, flow) => sum + flow, 0),
    joinHead_m: head("J"),
    pipeLoss_m: net.pipes.map((_, i) => link(`P${i}`, linkHeadloss)),
    warnings,
  };
  project.close();
  return solved;
}

/** The package writes them to the console. */
function warningsOf(work: () => void): string[] {
  const { warn } = console;
  const warnings: string[] = [];
  console.warn = (text: unknown) => warnings.push(String(text));
  try {
    work();
  } finally {
    console.warn = warn;
  }
  return warnings;
}

function inputText({ formula, lift_m, pumps, pipes, viscosity = 1 }: Net): string {
  const between = pipes.slice(1).map((_, i) => `N${i}`);
  const nodes = ["J", ...between];
  const outlets = pumps.flatMap(({ riser }, i) => (riser === null ? [] : [`O${i}`]));
  const pipe = (id: string, from: string, to: string, { length_m, bore_mm, wall, k }: NetPipe) =>
    ` ${id} ${from} ${to} ${length_m} ${bore_mm} ${wall} ${k} Open`;
  return [
    "[RESERVOIRS]",
    " WATER 0",
    ` OUT ${lift_m}`,
    "[JUNCTIONS]",
    ...[...nodes, ...outlets].map((id) => ` ${id} 0 0`),
    "[PIPES]",
    ...pipes.map((each, i) => pipe(`P${i}`, nodes[i] ?? "J", nodes[i + 1] ?? "OUT", each)),
    ...pumps.flatMap(({ riser }, i) => (riser === null ? [] : [pipe(`R${i}`, `O${i}`, "J", riser)])),
    "[PUMPS]",
    ...pumps.map(
      ({ riser, speed = 1 }, i) => ` PU${i} WATER ${riser === null ? "J" : `O${i}`} HEAD C${i} SPEED ${speed}`,
    ),
    "[CURVES]",
    ...pumps.flatMap(({ points }, i) => points.map(([flow_ls, head_m]) => ` C${i} ${flow_ls} ${head_m}`)),
    "[OPTIONS]",
    " UNITS LPS",
    ` HEADLOSS ${formula}`,
    ` VISCOSITY ${viscosity}`,
    " ACCURACY 0.0000001",
    " TRIALS 500",
    " UNBALANCED STOP",
    "[END]",
    "",
  ].join("\n");
}
