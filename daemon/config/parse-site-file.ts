// From the text of a site file to the site file, or to every problem at once, each with its line. Reads no file.

import { type Document, isMap, isNode, isScalar, isSeq, LineCounter, type Node, parseDocument } from "yaml";
import type { SourceKind } from "../sources/source.ts";
import { eachProblem, explainIssue } from "./explain-issue.ts";
import { explainYaml } from "./explain-yaml.ts";
import { siteFileSchema } from "./schema.ts";
import type { SiteFile } from "./site-file.ts";
import { toSiteFile } from "./to-site-file.ts";

/** One thing that is wrong with a site file. */
export interface Problem {
  readonly file: string;
  /** 1 for the first; null when the problem is the file as a whole. */
  readonly line: number | null;
  /** `basin.stop_level`, `sources[0].debounce`; empty for the file as a whole. */
  readonly key: string;
  /** What was found and what is expected. */
  readonly message: string;
  /** The whole as one line: `site.yaml:31: basin.stop_level: expected …, found …`. */
  readonly text: string;
}

export type ParsedSiteFile =
  | { readonly ok: true; readonly siteFile: SiteFile }
  | { readonly ok: false; readonly problems: readonly Problem[] };

/**
 * @param path names the file in messages, and is where relative paths in it start
 * @param kinds the kinds of source that it may name
 */
export function parseSiteFile(text: string, path: string, kinds: readonly SourceKind[]): ParsedSiteFile {
  const lines = new LineCounter();
  const document = parseDocument(text, { lineCounter: lines, prettyErrors: false, stringKeys: true });
  const faults = [...document.errors, ...document.warnings];
  const said = faults.map((fault) => ({
    line: lines.linePos(fault.pos[0]).line,
    words: explainYaml(fault, text),
  }));
  // One fault often brings others on the same line with it.
  const first = said.filter(({ line }, index) => said.findIndex((other) => other.line === line) === index);
  const problems = first.map(({ line, words }) => toProblem(path, line, [], words));
  // A key given twice leaves the rest readable; any other fault would make problems out of nothing.
  if (faults.some(({ code }) => code !== "DUPLICATE_KEY")) return { ok: false, problems };
  const root = document.contents;
  const keys = plainValue(document);
  if (root === null || keys === null) return { ok: false, problems: [wholeFile(path, "an empty file")] };
  if (keys instanceof ReferenceError)
    return { ok: false, problems: [wholeFile(path, `an alias (*): ${keys.message}`)] };

  const checked = siteFileSchema(kinds).safeParse(keys, { error: explainIssue });
  for (const { path: key, message } of eachProblem(checked.error?.issues ?? [])) {
    problems.push(toProblem(path, lines.linePos(offsetOf(root, key)).line, key, message));
  }
  if (checked.success && problems.length === 0) return { ok: true, siteFile: toSiteFile(checked.data, path) };
  return { ok: false, problems: problems.sort((a, b) => (a.line ?? 0) - (b.line ?? 0)) };
}

/** The document as plain data; an error for an alias that leads nowhere, in a circle, or to very many others. */
function plainValue(document: Document.Parsed): unknown {
  try {
    return document.toJS();
  } catch (error) {
    if (error instanceof ReferenceError) return error;
    throw error;
  }
}

/** The problem that a file is no site file at all. */
export function wholeFile(file: string, found: string): Problem {
  const message = `expected a site file (YAML, with at least a basin), found ${found}`;
  return { file, line: null, key: "", message, text: `${file}: ${message}` };
}

function toProblem(file: string, line: number, path: readonly PropertyKey[], found: string): Problem {
  const message = found.replaceAll(/\s*\n\s*/g, " ");
  const key = path.map((part) => (typeof part === "number" ? `[${part}]` : `.${String(part)}`)).join("");
  const parts = [`${file}:${line}`, key.replace(/^\./, ""), message].filter((part) => part !== "");
  return { file, line, key: key.replace(/^\./, ""), message, text: parts.join(": ") };
}

/** Where in the text a key stands, or, when it is missing, the key that it should stand under. */
function offsetOf(root: Node, path: readonly PropertyKey[]): number {
  let node: unknown = root;
  let offset = root.range?.[0] ?? 0;
  for (const part of path) {
    const next = step(node, part);
    if (next === undefined) break;
    node = next.value;
    offset = (isNode(next.start) ? next.start.range?.[0] : undefined) ?? offset;
  }
  return offset;
}

function step(node: unknown, part: PropertyKey): { readonly start: unknown; readonly value: unknown } | undefined {
  if (isSeq(node) && typeof part === "number") return { start: node.items[part], value: node.items[part] };
  if (!isMap(node)) return undefined;
  const pair = node.items.find(({ key }) => isScalar(key) && key.value === part);
  return pair && { start: pair.key, value: pair.value };
}
