#!/usr/bin/env node
// The door: plain JavaScript that any Node can parse. It hands over to the program under the pinned Node,
// or says in one line why it cannot.

import { existsSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { isNeededNode, oldNodeInWords, whatIsMissing } from "./need-packages.js";

const door = fileURLToPath(import.meta.url);
const staysLong = ["run", "demo"];
const compiled = fileURLToPath(new URL("../node_modules/.cache/undercroft", import.meta.url));

if (isNeededNode()) await enter();
else await runUnder(pinnedNode());

async function enter() {
  const problem = whatIsMissing();
  if (problem !== null) return stop(problem);
  if (staysLong.includes(process.argv[2])) beginWithOneHeap();
  // Measured: the page after 0.25 s instead of 0.92 s, and 20 MB less. Where the folder cannot be written to, the
  // program is compiled anew at each start.
  const { enableCompileCache } = await import("node:module");
  enableCompileCache(process.env.NODE_COMPILE_CACHE ?? compiled);
  const packed = await packedCommand(process.argv[2]);
  if (packed === null) return import("./main.ts");
  await packed.run();
  process.once("beforeExit", endAtOnce);
}

// Measured: of a month's analyze a thirtieth is spent on taking its heap apart, which goes with the process.
function endAtOnce() {
  process.exit();
}

// Packed, a command begins in half the time. Those that stay are not: they must find their sources as they are.
async function packedCommand(command) {
  if (command === undefined) return null;
  const { isPacked } = await import("./packed.ts");
  if (!isPacked(command)) return null;
  try {
    const { compileSooner, loadPacked } = await import("./load-packed.ts");
    const program = loadPacked(command);
    compileSooner();
    return program;
  } catch {
    return null; // it is being packed anew just now: the sources do the same
  }
}

// Measured over simulated weeks: 8 MB less. The C library's heap for each thread is settled when a process begins, so
// the process begins anew, under the same number.
function beginWithOneHeap() {
  if (process.platform !== "linux" || process.env.MALLOC_ARENA_MAX !== undefined) return;
  const args = [process.execPath, ...process.execArgv, door, ...process.argv.slice(2)];
  process.execve?.(process.execPath, args, { ...process.env, MALLOC_ARENA_MAX: "1" });
}

/** Path of the pinned Node's program in node_modules, if it was installed. */
function pinnedNode() {
  const names = [`node-${process.platform}-${process.arch}`, `node-bin-${process.platform}-${process.arch}`];
  return names
    .map((name) => fileURLToPath(new URL(`../node_modules/${name}/bin/node`, import.meta.url)))
    .find((path) => existsSync(path));
}

async function runUnder(node) {
  if (node === undefined) return stop(oldNodeInWords());
  const { spawn } = await import("node:child_process"); // what else is begun pays for none of it
  const child = spawn(node, [door, ...process.argv.slice(2)], { stdio: "inherit" });
  for (const signal of ["SIGINT", "SIGTERM", "SIGHUP"]) process.on(signal, () => child.kill(signal));
  child.on("error", ({ message }) => stop(`undercroft: the pinned Node cannot be started: ${message}`, 1));
  child.on("exit", (code, signal) => process.exit(signal === null ? code : 1));
}

function stop(problem, status = 2) {
  console.error(problem);
  process.exit(status);
}
