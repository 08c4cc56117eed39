// `undercroft demo`: a house of our own invention, through a wet week, in a record that is thrown away afterwards.

import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import { fileURLToPath } from "node:url";
import type { Command } from "commander";
import type { SiteFile, SourceConfig } from "../config/site-file.ts";
import { keepSmall } from "./keep-small.ts";
import { port, speed } from "./options.ts";

export interface DemoOptions {
  readonly speed?: number;
  readonly port?: number;
  readonly host?: string;
  /** Keeps the record there. */
  readonly store?: string;
}

const demoHouse = fileURLToPath(new URL("../sources/simulated/demo-house.yaml", import.meta.url));

export function register(program: Command): void {
  program
    .command("demo")
    .summary("watch a simulated basin through a wet week")
    .description(
      "Watches a basin of our invention through a wet week, and on for 60 of its days. " +
        "The record is thrown away at the end.",
    )
    .option("--speed <times>", "seconds of the house that pass in one; the page has a control for it", speed)
    .option("--port <port>", "port of the page; by default the next that is free", port)
    .action(startDemo);
}

export async function startDemo(options: DemoOptions): Promise<void> {
  keepSmall();
  const { loadSiteFile } = await import("../config/load-site-file.ts");
  const loaded = loadSiteFile(demoHouse);
  if (!loaded.ok) throw new Error(`the demo's own site file: ${loaded.problems.map(({ text }) => text).join("; ")}`);
  const { watchBasin } = await import("./watch-basin.ts");
  const store = options.store === undefined ? storeUntilExit() : resolve(options.store);
  await watchBasin(demoSite(loaded.siteFile, options, store), { orNextFreePort: options.port === undefined });
}

function storeUntilExit(): string {
  const folder = mkdtempSync(join(tmpdir(), "undercroft-demo-"));
  process.on("exit", () => rmSync(folder, { recursive: true, force: true }));
  return join(folder, "demo.sqlite");
}

function demoSite(siteFile: SiteFile, options: DemoOptions, storePath: string): SiteFile {
  const atSpeed = (source: SourceConfig) => Object.assign({ ...source }, options.speed && { speed: options.speed });
  return {
    ...siteFile,
    sources: siteFile.sources.map(atSpeed),
    server: {
      ...siteFile.server,
      ...{ host: options.host ?? siteFile.server.host, port: options.port ?? siteFile.server.port },
    },
    store: { path: storePath },
  };
}
