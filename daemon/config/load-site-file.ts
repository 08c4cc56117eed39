// Reads a site file from disk. What is in it is checked by parse-site-file.ts.

import { readFileSync, statSync } from "node:fs";
import { sourceKinds } from "../sources/index.ts";
import { type ParsedSiteFile, parseSiteFile, wholeFile } from "./parse-site-file.ts";

export type { Problem } from "./parse-site-file.ts";

/** Never throws for what the file says, or for a file that is not there: that is a problem in the answer. */
export function loadSiteFile(path: string): ParsedSiteFile {
  const read = readConfigText(path);
  return "text" in read
    ? parseSiteFile(read.text, path, sourceKinds)
    : { ok: false, problems: [wholeFile(path, read.found)] };
}

/** Far more than any site file needs; a recording given by mistake is turned away unread. */
const maximumSize_bytes = 1_000_000;

/** The text of a file that a person wrote, or what was found instead. */
export function readConfigText(path: string): { readonly text: string } | { readonly found: string } {
  try {
    const about = statSync(path);
    if (about.isDirectory()) return { found: "a folder" };
    if (about.size > maximumSize_bytes) return { found: `a file of ${(about.size / 1e6).toFixed(1)} MB` };
    return { text: new TextDecoder("utf-8", { fatal: true }).decode(readFileSync(path)) };
  } catch (error) {
    const code = error instanceof Error && "code" in error ? error.code : undefined;
    if (code === "ERR_ENCODING_INVALID_ENCODED_DATA") return { found: "a file that is not text in UTF-8" };
    return { found: code === "ENOENT" ? "no such file" : `a file that cannot be read (${code ?? error})` };
  }
}
