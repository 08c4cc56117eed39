// Reads a site file from disk: text, YAML, schema, and every problem at once with its line.

import type { SiteFile } from "./site-file.ts";

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

export type LoadedSiteFile =
  | { readonly ok: true; readonly siteFile: SiteFile }
  | { readonly ok: false; readonly problems: readonly Problem[] };

export async function loadSiteFile(path: string): Promise<LoadedSiteFile> {
  throw new Error(`${path}: not there yet`);
}
