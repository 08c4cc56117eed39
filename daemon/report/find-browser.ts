// A browser of the Chromium family on this machine, which can print a page as PDF without a window.

import { accessSync, constants, statSync } from "node:fs";
import { delimiter, isAbsolute, join } from "node:path";

/** As Debian, other distributions and the vendors' packages name it. */
const names = ["chromium", "chromium-browser", "google-chrome", "google-chrome-stable"];

/**
 * @param wanted a program by name or path; undefined: the first of the usual names that is there
 * @param path   folders to look in, as the environment gives them
 * @returns its path, or one line that says what was looked for and what to do
 */
export function findBrowser(
  wanted: string | undefined,
  path: string,
): { readonly ok: true; readonly program: string } | { readonly ok: false; readonly problem: string } {
  const candidates = wanted === undefined ? names : [wanted];
  const folders = path.split(delimiter).filter((folder) => folder !== "");
  for (const name of candidates) {
    const found = name.includes("/") || isAbsolute(name) ? [name] : folders.map((folder) => join(folder, name));
    const program = found.find(isProgram);
    if (program !== undefined) return { ok: true, program };
  }
  const found = wanted === undefined ? `none of ${names.join(", ")}` : `no program ${JSON.stringify(wanted)}`;
  return {
    ok: false,
    problem: `expected Chromium to print with, found ${found}: install Debian's chromium, or use --html and print`,
  };
}

function isProgram(path: string): boolean {
  try {
    accessSync(path, constants.X_OK);
    return statSync(path).isFile();
  } catch {
    return false;
  }
}
