// From the text of a site file to the site file, or to every problem at once, each with its line. Reads no file.

import { channelKinds } from "../alarms/channels/index.ts";
import type { SourceKind } from "../sources/source.ts";
import { eachProblem, explainIssue } from "./explain-issue.ts";
import { siteFileSchema } from "./schema.ts";
import type { SiteFile } from "./site-file.ts";
import { toSiteFile } from "./to-site-file.ts";
import { type Problem, parseYaml, wholeFile as wholeYaml } from "./yaml-document.ts";

export type { Problem } from "./yaml-document.ts";

export type ParsedSiteFile =
  | { readonly ok: true; readonly siteFile: SiteFile }
  | { readonly ok: false; readonly problems: readonly Problem[] };

const expected = "a site file (YAML, with at least a basin)";

/**
 * @param path names the file in messages, and is where relative paths in it start
 * @param kinds the kinds of source that it may name
 */
export function parseSiteFile(text: string, path: string, kinds: readonly SourceKind[]): ParsedSiteFile {
  const { keys, problems: faults, problemAt } = parseYaml(text, path, expected);
  if (keys === null) return { ok: false, problems: faults };
  const checked = siteFileSchema(kinds, channelKinds, keys).safeParse(keys, { error: explainIssue });
  const found = eachProblem(checked.error?.issues ?? []).map(({ path: key, message }) => problemAt(key, message));
  const problems = [...faults, ...found];
  if (checked.success && problems.length === 0) return { ok: true, siteFile: toSiteFile(checked.data, path) };
  return { ok: false, problems: problems.sort((a, b) => (a.line ?? 0) - (b.line ?? 0)) };
}

/** The problem that a file is no site file at all. */
export function wholeFile(file: string, found: string): Problem {
  return wholeYaml(file, expected, found);
}
