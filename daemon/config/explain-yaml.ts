// What is wrong with a text as YAML, in the project's words: one short line for the fault at a line.

import type { ErrorCode, YAMLError } from "yaml";

/** @param text of the whole file */
export function explainYaml({ code, pos }: Pick<YAMLError, "code" | "pos">, text: string): string {
  if (code === "DUPLICATE_KEY") return `the key ${keyAt(text, pos[0])} stands here a second time; expected it once`;
  if (code === "MULTIPLE_DOCS") return "a second document begins here (---); expected one site file";
  return `not YAML: ${words[code] ?? "this does not fit what stands before it"}`;
}

const brackets = "a quote or bracket that was opened is not closed, or a colon, comma or blank is missing";
const unquoted = "a text that begins with or holds such a sign must stand in quotes";

const words: Partial<Readonly<Record<ErrorCode, string>>> = {
  TAB_AS_INDENT: "a tab stands in the indentation; expected blanks",
  BAD_INDENT: "the indentation does not fit the lines around it, or a bracket above is not closed",
  MISSING_CHAR: brackets,
  BLOCK_AS_IMPLICIT_KEY:
    "a key and its value stand where a single value is expected; is a line end or a quote missing?",
  MULTILINE_IMPLICIT_KEY: "a key reaches over several lines; is a colon missing?",
  BLOCK_IN_FLOW: "a list or group by indentation stands inside brackets",
  BAD_SCALAR_START: unquoted,
  BAD_DQ_ESCAPE: "a backslash in double quotes; expected single quotes, or two backslashes",
  UNEXPECTED_TOKEN: "a sign stands where none is expected; is a bracket, quote or line end too many?",
  BAD_ALIAS: "a text that begins with * or & must stand in quotes",
  TAG_RESOLVE_FAILED: "a text that begins with ! must stand in quotes",
};

function keyAt(text: string, offset: number): string {
  const line = text.slice(offset).split("\n", 1)[0] ?? "";
  return (/^("[^"]*"|'[^']*'|[^:]*)/.exec(line)?.[0] ?? line).trim().slice(0, 40);
}
