// Says in one line, instead of a stack trace, that the packages or the Node that the program needs are not there.
// Plain JavaScript that any Node can parse. npm's scripts run it first; the door asks it, too.

import { existsSync, readFileSync, realpathSync } from "node:fs";
import { fileURLToPath } from "node:url";

export const neededMajor = 26;

/** This Node is new enough. */
export function isNeededNode() {
  return Number(process.versions.node.split(".")[0]) >= neededMajor;
}

/**
 * @param {boolean} toDevelop the packages for building and testing count, too
 * @returns {string | null} what is missing and what to do, as one line; null when all is there
 */
export function whatIsMissing(toDevelop = false) {
  const { dependencies = {}, devDependencies = {} } = JSON.parse(readFileSync(inProject("package.json"), "utf8"));
  const names = Object.keys(toDevelop ? { ...dependencies, ...devDependencies } : dependencies);
  const missing = names.find((name) => !existsSync(inProject(`node_modules/${name}/package.json`)));
  if (missing === undefined) return null;
  return `undercroft: package "${missing}" is not installed; run "npm ci" in the project's folder first.`;
}

/** What to say under a Node that is too old, when the pinned one is not there. */
export function oldNodeInWords() {
  return `undercroft needs Node ${neededMajor} or newer, and this is Node ${process.versions.node}; run "npm ci" in the project's folder to install the pinned one.`;
}

function inProject(path) {
  return fileURLToPath(new URL(`../${path}`, import.meta.url));
}

if (process.argv[1] !== undefined && realpathSync(process.argv[1]) === fileURLToPath(import.meta.url)) {
  const problem = whatIsMissing(process.argv.includes("--to-develop")) ?? (isNeededNode() ? null : oldNodeInWords());
  if (problem !== null) {
    console.error(problem);
    process.exitCode = 2;
  }
}
