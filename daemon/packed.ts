// Whether a quick command has been packed (by pack.ts), and of the very sources that are there.

import { readFileSync, statSync } from "node:fs";
import { join } from "node:path";

export const root = join(import.meta.dirname, "..");
export const packedFolder = join(root, "daemon", "dist");
/** What npm has installed. */
export const installed = join("node_modules", ".package-lock.json");
/** Each is packed by itself: what only another needs is not loaded. */
export const packedCommands = ["analyze", "size", "whatif", "check"] as const;

/** Of each source by its path from the project's folder: `markOf` it. */
export type Sources = readonly (readonly [path: string, mark: string])[];

export function listOfSources(folder: string, command: string): string {
  return join(folder, `${command}.sources.json`);
}

export function isPacked(command: string, folder = packedFolder): boolean {
  try {
    const sources = JSON.parse(readFileSync(listOfSources(folder, command), "utf8")) as Sources;
    return sources.every(([path, mark]) => markOf(path) === mark);
  } catch {
    return false; // not packed, or cut off while it was
  }
}

/** Changes with every change of a file; empty where there is none. */
export function markOf(path: string): string {
  // Hundreds are asked for at each start: to join and normalize their paths takes as long as to ask.
  const found = statSync(`${root}/${path}`, { throwIfNoEntry: false });
  return found === undefined ? "" : `${found.size} ${found.mtimeMs}`;
}
