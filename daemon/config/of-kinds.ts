// A list whose entries each go to the schema of their kind, such as the sources: names are unique, and the problems of an
// entry are those of its own kind.

import * as z from "zod";
import { at, evenIfIncomplete, lengthAt, report } from "./cross-check.ts";
import { describeFound, eachProblem, explainIssue } from "./explain-issue.ts";

/** What every entry has; the rest is its kind's own. */
export interface OfAKind {
  readonly kind: string;
  readonly name: string;
}

/**
 * @param kinds  those there are; each schema is a strict object with `kind` and `name`
 * @param called what an entry is called in messages: `source`
 */
export function listOfKinds(kinds: readonly { kind: string; config: z.ZodType }[], called: string) {
  return z.array(entrySchema(kinds)).superRefine(uniqueNames(called), evenIfIncomplete).default([]);
}

function entrySchema(kinds: readonly { kind: string; config: z.ZodType }[]) {
  const kindName = z.looseObject({ kind: z.enum(kinds.map(({ kind }) => kind)) });
  return z.unknown().transform((entry, context): OfAKind => {
    const named = kindName.safeParse(entry, { error: explainIssue });
    const kind = kinds.find((candidate) => candidate.kind === named.data?.kind);
    const config = (kind?.config ?? kindName).safeParse(entry, { error: explainIssue });
    if (config.success && isOfAKind(config.data)) return config.data;
    for (const { path, message } of eachProblem(config.error?.issues ?? [])) report(context, path, message);
    return z.NEVER;
  });
}

function isOfAKind(config: unknown): config is OfAKind {
  return typeof at(config, "kind") === "string" && typeof at(config, "name") === "string";
}

/** Health, rejections and messages go by name. */
export function uniqueNames(called: string): (list: unknown, context: z.core.$RefinementCtx) => void {
  return (list, context) => {
    const seen = new Set<unknown>();
    for (let index = 0; index < lengthAt(list); index++) {
      const name = at(list, index, "name");
      if (typeof name === "string" && seen.has(name)) {
        const expected = `expected a name that no other ${called} has`;
        report(context, [index, "name"], `${expected}, found ${describeFound(name)} again`);
      }
      seen.add(name);
    }
  };
}
