// Reads the central view's file, and the basins that stand in files of their own, from disk. Every problem at once, each
// with its file and line.

import { readdirSync } from "node:fs";
import { dirname, join, resolve } from "node:path";
import { eachProblem, explainIssue } from "../../config/explain-issue.ts";
import { readConfigText } from "../../config/load-site-file.ts";
import { type Problem, parseYaml, wholeFile, type YamlDocument } from "../../config/yaml-document.ts";
import type { CentralFile } from "./central-file.ts";
import { centralSchema } from "./central-schema.ts";
import { toCentralFile } from "./to-central-file.ts";

export type LoadedCentralFile =
  | { readonly ok: true; readonly centralFile: CentralFile }
  | { readonly ok: false; readonly problems: readonly Problem[] };

const expected = "the central view's file (YAML, with at least a broker)";
const expectedBasin = "a basin of the central view (YAML, with at least its name)";

/** What the command line says in place of the file. */
export interface Given {
  readonly host?: string;
  readonly port?: number;
}

/** Never throws for what the files say, or for one that is not there: that is a problem in the answer. */
export function loadCentralFile(path: string, given: Given = {}): LoadedCentralFile {
  const main = readYaml(path, expected);
  if (main.keys === null) return { ok: false, problems: main.problems };
  const files = basinFiles(main, path);
  const inFolder = files.filter(({ keys }) => keys !== null);
  const ownBasins = listAt(main.keys, "basins");
  const keys = withBasins(withServer(main.keys, given), [...ownBasins, ...inFolder.map(({ keys }) => keys)]);
  const checked = centralSchema.safeParse(keys, { error: explainIssue });
  // A basin of the folder has its problems told in its own file.
  const placed = eachProblem(checked.error?.issues ?? []).map(({ path: key, message }) => {
    const file = key[0] === "basins" ? inFolder[Number(key[1]) - ownBasins.length] : undefined;
    return file === undefined ? main.problemAt(key, message) : file.problemAt(key.slice(2), message);
  });
  const problems = [...main.problems, ...files.flatMap((file) => file.problems), ...placed];
  if (checked.success && problems.length === 0) return { ok: true, centralFile: toCentralFile(checked.data, path) };
  return {
    ok: false,
    problems: problems.sort((a, b) => a.file.localeCompare(b.file) || (a.line ?? 0) - (b.line ?? 0)),
  };
}

function readYaml(path: string, what: string): YamlDocument {
  const read = readConfigText(path);
  if ("text" in read) return parseYaml(read.text, path, what);
  const problem = wholeFile(path, what, read.found);
  return { keys: null, problems: [problem], problemAt: () => problem };
}

function basinFiles(main: YamlDocument, path: string): YamlDocument[] {
  const folder = Object.entries(main.keys ?? {}).find(([key]) => key === "basins_folder")?.[1];
  if (typeof folder !== "string") return [];
  const at = resolve(dirname(path), folder);
  try {
    const names = readdirSync(at).filter((name) => name.endsWith(".yaml"));
    return names.sort().map((name) => readYaml(join(at, name), expectedBasin));
  } catch {
    const problem = main.problemAt(["basins_folder"], `expected a folder, found nothing that can be read at ${at}`);
    return [{ keys: null, problems: [problem], problemAt: () => problem }];
  }
}

function listAt(keys: unknown, name: string): unknown[] {
  const value = Object.entries(keys ?? {}).find(([key]) => key === name)?.[1];
  return Array.isArray(value) ? value : [];
}

/** So that the checks see the address that is listened on. */
function withServer(keys: unknown, { host, port }: Given): unknown {
  if (typeof keys !== "object" || keys === null || (host === undefined && port === undefined)) return keys;
  const own = "server" in keys ? keys.server : {};
  if (typeof own !== "object" || own === null) return keys;
  return { ...keys, server: { ...own, ...(host !== undefined && { host }), ...(port !== undefined && { port }) } };
}

/** What is no list stays as it is, for the schema to say. */
function withBasins(keys: unknown, basins: readonly unknown[]): unknown {
  if (typeof keys !== "object" || keys === null || Array.isArray(keys)) return keys;
  const own = "basins" in keys ? keys.basins : [];
  return Array.isArray(own) ? { ...keys, basins } : keys;
}
