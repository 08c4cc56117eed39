// `undercroft rebuild`: derives cycles, inflow and findings anew from the stored readings, and says what changed.

import { existsSync } from "node:fs";
import { resolve } from "node:path";
import type { Command } from "commander";
import type { Cycle } from "../../analysis/cycles/cycle.ts";
import type { SiteFile } from "../config/site-file.ts";
import type { Store } from "../stores/store.ts";

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
  }
}

/** What changed, in words. */
async function rebuildStore({ site }: SiteFile, path: string): Promise<string[]> {
  const { StoreError } = await import("../stores/store-error.ts");
  if (!existsSync(path)) throw new StoreError(`${path}: no such record; expected one that undercroft run has kept`);
  const { openSqliteStore } = await import("../stores/sqlite-store.ts");
  const { createAnalyzer } = await import("../../analysis/analyzer.ts");
  const { deriveAnew } = await import("../derive.ts");
  const { default: packageFile } = await import("../../package.json", { with: { type: "json" } });
  const store = openSqliteStore(path, { log: console.log });
  try {
    const before = derivedIn(store);
    deriveAnew({ site, store, createAnalyzer, version: packageFile.version });
    return [`${path}: ${store.readingCount()} readings analysed.`, ...changes(before, derivedIn(store))];
  } finally {
    store.close();
  }
}

interface Kind {
  readonly name: string;
  /** What tells one from the next, and the whole of it. */
  readonly items: ReadonlyMap<number | string, string>;
}

const everything = Number.MAX_SAFE_INTEGER;

function derivedIn(store: Store): Kind[] {
  const span = store.span();
  if (span === null) return [];
  return [
    { name: "cycles", items: byKey(store.cycles(span, everything), (cycle: Cycle) => cycle.startedAt_s) },
    { name: "stretches of inflow", items: byKey(store.inflow(span, everything), ({ from_s }) => from_s) },
    {
      name: "findings",
      items: byKey(store.findings(span, everything), ({ kind, from_s }) => `${kind} ${from_s}`),
    },
  ];
}

function byKey<Item>(items: readonly Item[], keyOf: (item: Item) => number | string): Map<number | string, string> {
  return new Map(items.map((item) => [keyOf(item), JSON.stringify(item)]));
}

function changes(before: readonly Kind[], after: readonly Kind[]): string[] {
  return after.map(({ name, items }, index) => {
    const old = before[index]?.items ?? new Map<number | string, string>();
    const added = [...items.keys()].filter((key) => !old.has(key)).length;
    const gone = [...old.keys()].filter((key) => !items.has(key)).length;
    const other = [...items].filter(([key, item]) => old.has(key) && old.get(key) !== item).length;
    if (added + gone + other === 0) return `${name}: ${items.size}, all as before`;
    return `${name}: ${items.size}; ${added} new, ${gone} gone, ${other} with other figures`;
  });
}
