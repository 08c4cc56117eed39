// The candidates of a what-if: a list of installations, each said by what it has other than the site file. What lies over
// what is lay-over.ts's; every candidate passes the site file's own schema as a whole.

import * as z from "zod";
import { batteryAsUsual, type WhatIfPlan } from "../analysis/whatif/plan.ts";
import { channelKinds } from "./alarms/channels/index.ts";
import { evenIfIncomplete, report } from "./config/cross-check.ts";
import { describeFound, eachProblem, explainIssue } from "./config/explain-issue.ts";
import { quantity } from "./config/quantity.ts";
import { siteFileSchema } from "./config/schema.ts";
import { toSiteFile } from "./config/to-site-file.ts";
import { parseYaml } from "./config/yaml-document.ts";
import { layOver } from "./lay-over.ts";
import type { SourceKind } from "./sources/source.ts";

export type ParsedCandidates =
  | { readonly ok: true; readonly plans: readonly WhatIfPlan[] }
  | { readonly ok: false; readonly problems: readonly string[] };

/** What stands in the site file and is checked there. */
const group = z.record(z.string(), z.unknown());

const powerCut = z.strictObject({
  lasts: quantity("duration", { above: "0 s", max: "30 d" }).describe("how long the mains are out"),
  at: z
    .unknown()
    .refine((at) => at === "worst" || isMoment(at), {
      error: ({ input }) => `expected worst, or a time such as 2026-03-04T06:10:00Z, found ${describeFound(input)}`,
    })
    .transform((at) => (at === "worst" ? at : Date.parse(String(at)) / 1000))
    .default("worst")
    .describe("when; `worst` is when it brings this candidate the highest water"),
});

const onBattery = z.strictObject({
  pump: z
    .union([z.literal(1), z.literal(2)])
    .default(1)
    .describe("which pump the battery of `backup` feeds"),
  only: z.boolean().default(false).describe("that pump has no other supply"),
  speed: quantity("share", { above: "0 %", max: "100 %" })
    .prefault("100 %")
    .describe("share of full speed at which it runs from the battery"),
  charges_in: quantity("duration", { above: "0 s" })
    .optional()
    .describe("from empty to full on the mains; without it, it is not charged"),
});

const candidateShape = {
  basin: group.optional().describe("keys of the site file's `basin` that are other"),
  pump: group.optional().describe("another pump, in place of the site file's"),
  pumps: z.array(group).optional().describe("two pumps, in place of the site file's"),
  discharge: group.optional().describe("keys of the site file's `discharge` that are other"),
  backup: group.optional().describe("keys of the site file's `backup` that are other"),
  power_cut: powerCut.optional(),
  on_battery: onBattery.optional(),
  takes_turns: z.boolean().optional().describe("two pumps take the duty in turns; by default as recorded"),
  ground_head: quantity("length", { above: "0 mm" })
    .optional()
    .describe("level of the ground water, at which nothing comes in any more"),
};

const name = z.string().trim().min(1).max(60).describe("what the table calls it");
const candidateSchema = z.strictObject({ name, ...candidateShape });
type CandidateKeys = z.output<typeof candidateSchema>;

const fileSchema = z.strictObject({
  candidates: z.array(candidateSchema).min(1).max(20).superRefine(checkNames, evenIfIncomplete),
});

const expected = "a file of candidates (YAML, with a list of candidates)";

/**
 * @param siteKeys the site file as written, before anything is checked; it is known to hold
 * @param sitePath names it in messages
 */
export function parseCandidates(
  text: string,
  path: string,
  siteKeys: unknown,
  sitePath: string,
  kinds: readonly SourceKind[],
): ParsedCandidates {
  const { keys, problems: faults, problemAt } = parseYaml(text, path, expected);
  const checked = keys === null ? null : fileSchema.safeParse(keys, { error: explainIssue });
  const problems = [
    ...faults,
    ...eachProblem(checked?.error?.issues ?? []).map(({ path: key, message }) => problemAt(key, message)),
  ];
  const plans = (checked?.data?.candidates ?? []).flatMap((candidate, i) => {
    const made = planFrom(candidate, siteKeys, sitePath, kinds);
    if (made.ok) return [made.plan];
    problems.push(...made.issues.map(({ path: key, message }) => problemAt(["candidates", i, ...key], message)));
    return [];
  });
  if (problems.length === 0) return { ok: true, plans };
  return { ok: false, problems: problems.sort((a, b) => (a.line ?? 0) - (b.line ?? 0)).map(({ text: said }) => said) };
}

export interface Issue {
  readonly path: readonly PropertyKey[];
  readonly message: string;
}

export type MadePlan =
  | { readonly ok: true; readonly plan: WhatIfPlan }
  | { readonly ok: false; readonly issues: readonly Issue[] };

/** A candidate's keys, as yet unchecked, as a plan: for those that come from the command line. */
export function planOfKeys(keys: unknown, siteKeys: unknown, sitePath: string, kinds: readonly SourceKind[]): MadePlan {
  const checked = candidateSchema.safeParse(keys, { error: explainIssue });
  if (!checked.success) return { ok: false, issues: eachProblem(checked.error.issues) };
  return planFrom(checked.data, siteKeys, sitePath, kinds);
}

function planFrom(
  candidate: CandidateKeys,
  siteKeys: unknown,
  sitePath: string,
  kinds: readonly SourceKind[],
): MadePlan {
  const keys = layOver(siteKeys, candidate);
  const checked = siteFileSchema(kinds, channelKinds, keys).safeParse(keys, { error: explainIssue });
  if (!checked.success) return { ok: false, issues: eachProblem(checked.error.issues) };
  const alone = checked.data.pumps === undefined;
  const issues: Issue[] = [
    ...(alone && candidate.on_battery?.pump === 2
      ? [{ path: ["on_battery", "pump"], message: "expected 1, since the site has one pump, found 2" }]
      : []),
    ...(alone && candidate.takes_turns
      ? [{ path: ["takes_turns"], message: "expected pumps, a list of two, beside it, found one pump" }]
      : []),
  ];
  if (issues.length > 0) return { ok: false, issues };
  const cut = candidate.power_cut;
  const { pump, only, speed, charges_in } = candidate.on_battery ?? {};
  return {
    ok: true,
    plan: {
      name: candidate.name,
      site: toSiteFile(checked.data, sitePath).site,
      takesTurns: candidate.takes_turns ?? null,
      cuts: cut === undefined ? [] : [{ lasts_s: cut.lasts, at_s: cut.at }],
      onBattery: {
        pump: pump === 2 ? 1 : 0,
        only: only ?? batteryAsUsual.only,
        speed: speed ?? batteryAsUsual.speed,
        charges_s: charges_in ?? null,
      },
      groundHead_m: candidate.ground_head ?? null,
    },
  };
}

function isMoment(value: unknown): boolean {
  return z.iso.datetime({ offset: true }).safeParse(value).success;
}

function checkNames(candidates: unknown, context: z.core.$RefinementCtx): void {
  if (!Array.isArray(candidates)) return;
  const names = candidates.map((candidate) => (candidate as { name?: unknown } | null)?.name);
  names.forEach((each, i) => {
    if (typeof each !== "string" || names.indexOf(each) === i) return;
    report(context, [i, "name"], `expected a name that no other candidate has, found ${JSON.stringify(each)} again`);
  });
}
