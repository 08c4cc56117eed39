// `undercroft rebuild`: derives cycles, inflow and findings anew from the stored readings, and says what changed.

import { existsSync } from "node:fs";
import { resolve } from "node:path";
import type { Command } from "commander";
import type { SiteFile } from "../config/site-file.ts";

interface RebuildOptions {
  readonly site: string;
  readonly store?: string;
}

export function register(program: Command): void {
  program
    .command("rebuild")
    .summary("derive everything anew from the stored readings")
    .description(
      "Derives cycles, inflow and findings anew from the stored readings, whole or not at all, and says what changed.\n" +
        "For after the site file has been corrected; the daemon must not be running on the same record.",
    )
    .requiredOption("--site <file>", "the site file (YAML)")
    .option(
      "--store <file>",
      "file of the readings; by default what the site file says, else beside it with its name and .sqlite",
    )
    .addHelpText("after", "\nExit status: 0 done; 2 wrong input, or the store is in use.")
    .action(rebuild);
}

async function rebuild(options: RebuildOptions): Promise<void> {
  const { loadSiteFile } = await import("../config/load-site-file.ts");
  const loaded = loadSiteFile(options.site);
  if (!loaded.ok) {
    for (const { text } of loaded.problems) console.error(text);
    process.exitCode = 2;
    return;
  }
  const { StoreError } = await import("../stores/store-error.ts");
  const path = options.store === undefined ? loaded.siteFile.store.path : resolve(options.store);
  try {
    for (const line of await rebuildStore(loaded.siteFile, path)) console.log(line);
  } catch (error) {
    if (!(error instanceof StoreError)) throw error;
    console.error(error.message);
    process.exitCode = 2;
  } finally {
    const { handToOwner } = await import("../stores/hand-to-owner.ts");
    handToOwner(path);
  }
}

/** What changed, in words. */
async function rebuildStore({ site }: SiteFile, path: string): Promise<string[]> {
  const { noSuchRecord } = await import("../stores/sqlite/open-to-read.ts");
  if (!existsSync(path)) throw noSuchRecord(path);
  const { openSqliteStore } = await import("../stores/sqlite-store.ts");
  const { createAnalyzer } = await import("../../analysis/analyzer.ts");
  const { deriveAnew } = await import("../derive.ts");
  const { digestDerived, sayChanges } = await import("./derived-digest.ts");
  const { default: packageFile } = await import("../../package.json", { with: { type: "json" } });
  const store = openSqliteStore(path, { log: console.log });
  try {
    const before = digestDerived(store);
    deriveAnew({ site, store, createAnalyzer, version: packageFile.version });
    return [`${path}: ${store.readingCount()} readings analysed.`, ...sayChanges(before, digestDerived(store))];
  } finally {
    store.close();
  }
}
