// Packs each quick command, with the packages that it needs, into one file in daemon/dist, and keeps beside it what V8
// compiles of that: to load five hundred modules one by one takes longer than many a command's work. The door takes it
// while it is made of the very sources that are there.
// Run: npm run build      (`--if-stale` packs only when they are not)

import { spawnSync } from "node:child_process";
import { rmSync, writeFileSync } from "node:fs";
import { join, relative, sep } from "node:path";
import type { InlineConfig, Plugin } from "vite";
import { asFunction, packedProgram } from "./load-packed.ts";
import { installed, isPacked, listOfSources, markOf, packedCommands, packedFolder, root } from "./packed.ts";

/** Of each command; it exists while it is packed alone. */
const program = (command: string) => join(root, "daemon", `packed-${command}.ts`);
/** Reads a recording beside the program. */
const thread = "daemon/recordings/reading-thread.ts";
/** Asks for the thread's program beside it, where the packed one lies too. */
const startsThread = "start-thread.ts";
/** What makes the bundles, and what loads them. */
const packs = ["daemon/pack.ts", "daemon/compile-packed.ts", "daemon/load-packed.ts", "daemon/packed.ts"];
const packages = ["commander", "yaml", "zod"];

if (import.meta.main && !(process.argv.includes("--if-stale") && packedCommands.every((command) => isPacked(command))))
  await pack();

/** @param into the folder, which is emptied */
export async function pack(into = packedFolder): Promise<void> {
  const vite = await import("vite").catch(() => null);
  // A board that was installed without the tools to build runs the sources.
  if (vite === null) return;
  const ofThread = new Map<string, string>();
  rmSync(into, { recursive: true, force: true });
  await vite.build(options(into, ofThread, thread, { entryFileNames: "reading-thread.js", format: "es" }));
  const packing = [installed, ...packs].map((path) => [path, markOf(path)] as const);
  const sources = new Map(packedCommands.map((command) => [command, new Map(packing)]));
  for (const [command, own] of sources) {
    await vite.build(options(into, own, program(command), { entryFileNames: packedProgram(command), format: "cjs" }));
    for (const [path, mark] of ofThread) own.set(path, mark);
  }
  const { status } = spawnSync(process.execPath, [join(root, "daemon/compile-packed.ts"), into], {
    stdio: ["ignore", "ignore", "inherit"],
  });
  // What does not do its work is not taken: the sources are.
  if (status !== 0) return;
  // Last, so that what was cut off is not taken.
  for (const [command, own] of sources) writeFileSync(listOfSources(into, command), JSON.stringify([...own]));
}

interface Output {
  readonly entryFileNames: string;
  readonly format: "cjs" | "es";
}

function options(into: string, sources: Map<string, string>, input: string, output: Output): InlineConfig {
  return {
    root,
    configFile: false,
    logLevel: "error",
    publicDir: false,
    plugins: [
      oneCommand(),
      noteSources(sources),
      keepPlaces(into),
      rewritten("load-later", loadLater),
      rewritten("in-ascii", inAscii),
      ...(output.format === "cjs" ? [rewritten("as-function", asFunction)] : []),
    ],
    ssr: { target: "node", noExternal: packages },
    build: {
      ssr: true,
      outDir: into,
      emptyOutDir: false,
      target: "esnext",
      minify: false,
      rolldownOptions: {
        input,
        output: { ...output, codeSplitting: false, comments: false },
      },
    },
  };
}

/** A program of that command alone. */
function oneCommand(): Plugin {
  const alone = new Map(packedCommands.map((command) => [program(command), command]));
  return {
    name: "one-command",
    resolveId: (id) => (alone.has(id) ? id : null),
    load(id) {
      const command = alone.get(id);
      if (command === undefined) return null;
      return `import { runCommandLine } from "./command-line.ts";
import { register } from "./commands/${command}.ts";
export const run = () => runCommandLine([register]);`;
    },
  };
}

/** Of each of our own files, a mark as it is when it is read. */
function noteSources(sources: Map<string, string>): Plugin {
  return {
    name: "note-sources",
    load(id) {
      if (isOurs(id)) sources.set(relative(root, id), markOf(relative(root, id)));
      return null;
    },
  };
}

/** A file that asks where it lies is told where its source does: so it finds what lies beside that. */
function keepPlaces(into: string): Plugin {
  return {
    name: "keep-places",
    transform(code, id) {
      if (!isOurs(id) || id.endsWith(startsThread)) return null;
      const place = `new URL(${JSON.stringify(relative(into, id))}, import.meta.url).href`;
      return code.includes("import.meta.url") ? code.replaceAll("import.meta.url", place) : null;
    },
  };
}

/** What is done to the whole text, once nothing else writes it anew. */
function rewritten(name: string, rewrite: (code: string) => string): Plugin {
  return {
    name,
    generateBundle(_, bundle) {
      for (const part of Object.values(bundle)) if (part.type === "chunk") part.code = rewrite(part.code);
    },
  };
}

/**
 * Packed, all of Node's own modules that any file imports would be loaded at the start: for the minute that one command
 * takes, a fifth of its time. Each is asked for where it is used.
 */
function loadLater(code: string): string {
  const atStart = [...code.matchAll(/^let (\w+) = require\("(node:[\w/]+)"\);\n(?:\1 = __toESM\(\1, 1\);\n)?/gm)];
  return atStart.reduce(
    (left, [lines, name = "", module]) =>
      left.replace(lines, "").replaceAll(new RegExp(`\\b${name}\\.(?:default\\.)?`, "g"), `(require("${module}")).`),
    code,
  );
}

/** A text of single bytes is taken as it is; one character beyond them doubles all of it, for which it is written anew. */
function inAscii(code: string): string {
  return code.replaceAll(/[\u0080-\uffff]/g, (unit) => `\\u${unit.charCodeAt(0).toString(16).padStart(4, "0")}`);
}

function isOurs(id: string): boolean {
  const path = relative(root, id);
  return !path.startsWith("..") && !path.startsWith("\0") && !path.split(sep).includes("node_modules");
}
