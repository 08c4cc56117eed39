// `undercroft run`: watch a basin as the site file says; without one, the demo. With `--central`, all of them.

import { resolve } from "node:path";
import type { Command } from "commander";
import type { SiteFile } from "../config/site-file.ts";
import { startDemo } from "./demo.ts";
import { keepSmall } from "./keep-small.ts";
import { port } from "./options.ts";

interface RunOptions {
  readonly site?: string;
  readonly port?: number;
  readonly host?: string;
  readonly store?: string;
  readonly central?: string;
  readonly look?: true;
}

export function register(program: Command): void {
  program
    .command("run")
    .summary("watch a basin and serve its page")
    .description("Watches a basin as the site file says and serves its page; without a site file, the demo.")
    .option("--site <file>", "the site file (YAML)")
    .option("--central <file>", "watch every basin of the central view's file (YAML) on one page, instead of one basin")
    .option("--port <port>", "port of the page; by default what the site file says, else 8047", port)
    .option(
      "--host <address>",
      "address to listen on; by default what the site file says, else 127.0.0.1; 0.0.0.0 lets other machines in",
    )
    .option(
      "--store <file>",
      "file of the readings; by default what the site file says, else beside it with its name and .sqlite",
    )
    .option(
      "--look",
      "only look at the record, such as a copy from another board: read nothing, call and send to nobody",
    )
    .addHelpText("after", "\nExit status: 0 stopped by a signal; 2 wrong input, port taken, store in use; 1 a defect.")
    .action(run);
}

async function run(options: RunOptions, command: Command): Promise<void> {
  if (options.central !== undefined) {
    for (const other of ["site", "store", "look"] as const) {
      if (options[other] !== undefined) command.error(`error: expected either --central or --${other}, found both`);
    }
    const { watchAll } = await import("./watch-all.ts");
    return watchAll(options.central, options);
  }
  if (options.site === undefined && options.look === true) {
    command.error("error: --look: expected --site <file> too, whose record is to be looked at");
  }
  if (options.site === undefined) return startDemo(options);
  keepSmall();
  const { loadSiteFile } = await import("../config/load-site-file.ts");
  const loaded = loadSiteFile(options.site);
  if (!loaded.ok) {
    for (const { text } of loaded.problems) console.error(text);
    process.exitCode = 2;
    return;
  }
  const siteFile = options.look === true ? lookedAt(loaded.siteFile) : loaded.siteFile;
  const { watchBasin } = await import("./watch-basin.ts");
  await watchBasin({
    ...siteFile,
    server: {
      ...siteFile.server,
      ...{ host: options.host ?? siteFile.server.host, port: options.port ?? siteFile.server.port },
    },
    store: { path: options.store === undefined ? siteFile.store.path : resolve(options.store) },
  });
}

/** What a board's own site file says of sources, people and other machines is that board's business. */
function lookedAt(siteFile: SiteFile): SiteFile {
  const nobody = { ...siteFile.alarms, channels: [], contacts: [], call: [], heartbeat: null };
  return { ...siteFile, sources: [], alarms: nobody, publish: { mqtt: null }, forward: null };
}
