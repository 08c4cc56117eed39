// The `sources` list of the site file: each entry goes to the schema of its kind.

import * as z from "zod";
import type { SourceKind } from "../../sources/source.ts";
import { at, evenIfIncomplete, lengthAt, report } from "../cross-check.ts";
import { describeFound, eachProblem, explainIssue } from "../explain-issue.ts";
import type { SourceConfig } from "../site-file.ts";

export function sourcesSchema(kinds: readonly SourceKind[]) {
  return z.array(sourceSchema(kinds)).superRefine(checkNames, evenIfIncomplete).default([]);
}

function sourceSchema(kinds: readonly SourceKind[]) {
  const kindName = z.looseObject({ kind: z.enum(kinds.map(({ kind }) => kind)) });
  return z.unknown().transform((entry, context): SourceConfig => {
    const named = kindName.safeParse(entry, { error: explainIssue });
    const kind = kinds.find((candidate) => candidate.kind === named.data?.kind);
    const config = (kind?.config ?? kindName).safeParse(entry, { error: explainIssue });
    if (config.success && isSourceConfig(config.data)) return config.data;
    for (const { path, message } of eachProblem(config.error?.issues ?? [])) report(context, path, message);
    return z.NEVER;
  });
}

function isSourceConfig(config: unknown): config is SourceConfig {
  return typeof at(config, "kind") === "string" && typeof at(config, "name") === "string";
}

/** Health, rejections and messages go by name. */
function checkNames(sources: unknown, context: z.core.$RefinementCtx): void {
  const seen = new Set<unknown>();
  for (let index = 0; index < lengthAt(sources); index++) {
    const name = at(sources, index, "name");
    if (typeof name === "string" && seen.has(name)) {
      report(context, [index, "name"], `expected a name that no other source has, found ${describeFound(name)} again`);
    }
    seen.add(name);
  }
}
