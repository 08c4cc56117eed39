// What is asked of `undercroft whatif` on the command line itself: one candidate, by a few options, and a power cut for all.

import type { PlannedCut, WhatIfPlan } from "../analysis/whatif/plan.ts";
import type { SourceKind } from "./sources/source.ts";
import { planOfKeys } from "./whatif-candidates.ts";

export interface QuickOptions {
  readonly startLevel?: string;
  readonly stopLevel?: string;
  readonly pipe?: string;
  readonly battery?: string;
  readonly pumpPower?: string;
  readonly powerCut?: string;
  readonly powerCutAt?: string;
}

export interface QuickPlans {
  readonly plans: readonly WhatIfPlan[];
  readonly cut: PlannedCut | null;
  readonly problems: readonly string[];
}

/** Which option gives which key of a candidate. */
const keyOf = {
  startLevel: ["basin", "start_level"],
  stopLevel: ["basin", "stop_level"],
  pipe: ["discharge", "pipe", "nominal"],
  battery: ["backup", "capacity"],
  pumpPower: ["backup", "pump_power"],
  powerCut: ["power_cut", "lasts"],
  powerCutAt: ["power_cut", "at"],
} as const satisfies Record<keyof QuickOptions, readonly string[]>;

type OptionName = keyof typeof keyOf;
const names = Object.keys(keyOf) as OptionName[];
const ofCut: readonly OptionName[] = ["powerCut", "powerCutAt"];

/**
 * With a power cut, the installation as it is goes through it; with anything else, the same with that changed.
 *
 * @param present the installation as it is
 */
export function quickPlans(
  options: QuickOptions,
  present: WhatIfPlan,
  siteKeys: unknown,
  sitePath: string,
  kinds: readonly SourceKind[],
): QuickPlans {
  const given = names.filter((name) => options[name] !== undefined);
  if (given.length === 0) return { plans: [], cut: null, problems: [] };
  if (options.powerCutAt !== undefined && options.powerCut === undefined) {
    return { plans: [], cut: null, problems: ["--power-cut-at: expected --power-cut beside it, found none"] };
  }
  const changes = given.filter((name) => !ofCut.includes(name));
  const keys: Record<string, unknown> = { name: "as asked" };
  for (const name of given) put(keys, keyOf[name], options[name]);
  const made = planOfKeys(keys, siteKeys, sitePath, kinds);
  if (!made.ok)
    return { plans: [], cut: null, problems: made.issues.map(({ path, message }) => blame(given, path, message)) };
  const cut = made.plan.cuts[0] ?? null;
  const through = cut === null ? [] : [{ ...present, name: "as it is, with the power cut", cuts: [cut] }];
  return { plans: [...through, ...(changes.length > 0 ? [made.plan] : [])], cut, problems: [] };
}

function put(keys: Record<string, unknown>, path: readonly string[], value: unknown): void {
  let group = keys;
  for (const key of path.slice(0, -1)) {
    group[key] ??= {};
    group = group[key] as Record<string, unknown>;
  }
  group[path.at(-1) ?? ""] = value;
}

function blame(given: readonly OptionName[], path: readonly PropertyKey[], message: string): string {
  const name = given.find((each) => keyOf[each].every((key, i) => path[i] === key));
  const option = name?.replaceAll(/[A-Z]/g, (letter) => `-${letter.toLowerCase()}`);
  return option === undefined ? `${path.join(".")}: ${message}` : `--${option}: ${message}`;
}
