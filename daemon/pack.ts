// Packs the command line, with the packages that every command needs, into a few files in daemon/dist: to load five
// hundred modules one by one takes longer than many a command's work. The door takes them for commands that come and go,
// while they are made of the very sources that are there.
// Run: npm run build      (`--if-stale` packs only when they are not)

import { writeFileSync } from "node:fs";
import { relative, sep } from "node:path";
import type { InlineConfig, Plugin } from "vite";
import { installed, isPacked, listOfSources, markOf, packedFolder, root } from "./packed.ts";

const programs = { main: "daemon/main.ts", "reading-thread": "daemon/recordings/reading-thread.ts" };
/** Asks for the thread's program beside it, where the packed one lies too. */
const startsThread = "start-thread.ts";
const packages = ["commander", "yaml", "zod"];

if (import.meta.main && !(process.argv.includes("--if-stale") && isPacked())) await pack();

/** @param into the folder, which is emptied */
export async function pack(into = packedFolder): Promise<void> {
  const vite = await import("vite").catch(() => null);
  // A board that was installed without the tools to build runs the sources.
  if (vite === null) return;
  const sources = new Map([[installed, markOf(installed)]]);
  await vite.build(options(into, sources));
  // Last, so that what was cut off is not taken.
  writeFileSync(listOfSources(into), JSON.stringify([...sources]));
}

function options(into: string, sources: Map<string, string>): InlineConfig {
  return {
    root,
    configFile: false,
    logLevel: "error",
    publicDir: false,
    plugins: [noteSources(sources), keepPlaces(into)],
    ssr: { target: "node", noExternal: packages },
    build: {
      ssr: true,
      outDir: into,
      emptyOutDir: true,
      target: "esnext",
      minify: false,
      rolldownOptions: {
        input: programs,
        output: { entryFileNames: "[name].js", chunkFileNames: "[name]-[hash].js" },
      },
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

function isOurs(id: string): boolean {
  const path = relative(root, id);
  return !path.startsWith("..") && !path.startsWith("\0") && !path.split(sep).includes("node_modules");
}
