#!/usr/bin/env node
// The door: plain JavaScript that any Node can parse. It hands over to the program under the pinned Node,
// or says in one line why it cannot.

import { spawn } from "node:child_process";
import { existsSync } from "node:fs";
import { fileURLToPath } from "node:url";

const neededMajor = 26;
const program = fileURLToPath(new URL("./main.ts", import.meta.url));

if (Number(process.versions.node.split(".")[0]) >= neededMajor) {
  await import("./main.ts");
} else {
  runUnder(pinnedNode());
}

/** Path of the pinned Node's program in node_modules, if it was installed. */
function pinnedNode() {
  const names = [`node-${process.platform}-${process.arch}`, `node-bin-${process.platform}-${process.arch}`];
  return names
    .map((name) => fileURLToPath(new URL(`../node_modules/${name}/bin/node`, import.meta.url)))
    .find((path) => existsSync(path));
}

function runUnder(node) {
  if (node === undefined) {
    console.error(
      `undercroft needs Node ${neededMajor} or newer, and this is Node ${process.versions.node}; run "npm ci" in the project's folder to install the pinned one.`,
    );
    process.exit(2);
  }
  const child = spawn(node, [program, ...process.argv.slice(2)], { stdio: "inherit" });
  for (const signal of ["SIGINT", "SIGTERM", "SIGHUP"]) process.on(signal, () => child.kill(signal));
  child.on("exit", (code, signal) => process.exit(signal === null ? code : 1));
}
