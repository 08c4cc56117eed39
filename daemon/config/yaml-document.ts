// A YAML file as plain keys, each of which can be found again in the text, so that a problem can name its line. What the
// keys mean, schemas say.

import { type Document, isMap, isNode, isScalar, isSeq, LineCounter, type Node, parseDocument } from "yaml";
import { explainYaml } from "./explain-yaml.ts";

/** One thing that is wrong with a file. */
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

export interface YamlDocument {
  /** The whole as plain data; null when nothing can be read of it. */
  readonly keys: unknown;
  /** What is wrong with its form; a key given twice leaves the rest readable. */
  readonly problems: readonly Problem[];
  /** A problem at a key, or, when that is missing, at the key that it should stand under. */
  problemAt(path: readonly PropertyKey[], message: string): Problem;
}

/**
 * @param path     names the file in messages
 * @param expected what kind of file it should be, for a message: `a site file (YAML, with at least a basin)`
 */
export function parseYaml(text: string, path: string, expected: string): YamlDocument {
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
  const root = document.contents;
  const problemAt = (key: readonly PropertyKey[], message: string) =>
    toProblem(path, root === null ? 1 : lines.linePos(offsetOf(root, key)).line, key, message);
  // Any other fault than a key given twice would make problems out of nothing.
  if (faults.some(({ code }) => code !== "DUPLICATE_KEY")) return { keys: null, problems, problemAt };
  const keys = plainValue(document);
  if (root === null || keys === null) {
    return { keys: null, problems: [wholeFile(path, expected, "an empty file")], problemAt };
  }
  if (keys instanceof ReferenceError) {
    return { keys: null, problems: [wholeFile(path, expected, `an alias (*): ${keys.message}`)], problemAt };
  }
  return { keys, problems, problemAt };
}

/** The problem that a file is not at all what it should be. */
export function wholeFile(file: string, expected: string, found: string): Problem {
  const message = `expected ${expected}, found ${found}`;
  return { file, line: null, key: "", message, text: `${file}: ${message}` };
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
