// `undercroft store`: looks through a record, makes it smaller, copies it, puts a copy back; writes it out, takes a
// recording in.

import { basename, extname, resolve } from "node:path";
import type { Command } from "commander";
import type { Checked } from "../stores/sqlite/upkeep.ts";
import { registerSetUpDatabase } from "./set-up-database.ts";

interface Where {
  readonly site?: string;
  readonly store?: string;
}

const exitAfterDamage = 2;

interface Asked {
  readonly cycles?: true;
  readonly findings?: true;
  readonly inflow?: true;
  readonly basin?: string;
}

export function register(program: Command): void {
  const store = program
    .command("store")
    .summary("check, compact, back up, restore, export or import a record")
    .description("Looks after the record that undercroft run keeps. It is named by its site file or by itself.")
    .addHelpText("after", "\nExit status: 0 done, and the record is whole; 2 it is not, or cannot be used.");
  const command = (name: string, summary: string) =>
    store
      .command(name)
      .summary(summary)
      .description(`${summary.charAt(0).toUpperCase()}${summary.slice(1)}.`)
      .option("--site <file>", "the site file (YAML) whose record it is")
      .option("--store <file>", "file of the record, where the site file does not say it");

  command("check", "read all of a record and say what is in it, and whether it is whole; the daemon may run").action(
    (where: Where) => withRecord(where, check),
  );
  command("compact", "give unused room back to the disk; the daemon must not run").action((where: Where) =>
    withRecord(where, compact),
  );
  command("backup", "copy a record into a single new file, and check the copy; the daemon may run")
    .argument("<file>", "the new file")
    .action((file: string, where: Where) => withRecord(where, (path) => backup(path, resolve(file))));
  command("restore", "put a copy in the record's place, once it has proved whole; the daemon must not run")
    .argument("<file>", "the copy")
    .action((file: string, where: Where) => withRecord(where, (path) => restore(path, resolve(file))));
  command("export", "write a record's readings, cycles, findings or inflow into a new file; the daemon may run")
    .argument("<file>", "the new file: .csv, .parquet (by DuckDB) or .lp (line protocol); .csv.gz and .lp.gz gzipped")
    .option("--cycles", "the cycles, in the report's units, in place of the readings")
    .option("--findings", "the findings, in place of the readings")
    .option("--inflow", "the inflow, stretch by stretch in the report's units, in place of the readings")
    .option("--basin <name>", "what the line protocol calls the basin; by default as the record's file is called")
    .action((file: string, where: Where & Asked) => withRecord(where, (path) => exportTo(path, resolve(file), where)));
  command("import", "take a recording (CSV) in, after what is there; the daemon must not run")
    .argument("<recording>", "the recording, as undercroft analyze takes it: .csv or .csv.gz")
    .action((file: string, where: Where) => withRecord(where, (path) => importFrom(path, file)));
  registerSetUpDatabase(store);
}

async function withRecord(where: Where, work: (path: string) => Promise<string[]>): Promise<void> {
  const { StoreError } = await import("../stores/store-error.ts");
  const { handToOwner } = await import("../stores/hand-to-owner.ts");
  const path = await recordOf(where);
  if (path === null) return;
  try {
    for (const line of await work(path)) console.log(line);
  } catch (error) {
    if (!(error instanceof StoreError)) throw error;
    console.error(error.message);
    process.exitCode = exitAfterDamage;
  } finally {
    handToOwner(path);
  }
}

async function recordOf({ site, store }: Where): Promise<string | null> {
  if (store !== undefined) return resolve(store);
  process.exitCode = 2;
  if (site === undefined) {
    console.error("undercroft store: expected --site <file> or --store <file>, found neither");
    return null;
  }
  const { loadSiteFile } = await import("../config/load-site-file.ts");
  const loaded = loadSiteFile(site);
  if (!loaded.ok) {
    for (const { text } of loaded.problems) console.error(text);
    return null;
  }
  process.exitCode = 0;
  return loaded.siteFile.store.path;
}

async function check(path: string): Promise<string[]> {
  const { checkRecord } = await import("../stores/sqlite/upkeep.ts");
  const checked = checkRecord(path);
  if (checked.faults.length === 0) return [`${path} is whole: ${inWords(checked)}.`];
  process.exitCode = exitAfterDamage;
  return [
    `${path} is damaged; what reads of it: ${inWords(checked)}.`,
    ...checked.faults.map((fault) => `  ${fault.replaceAll(/\s*\n\s*/g, " ")}`),
    "The next undercroft run sets it aside and goes on with what it gives; or put a copy back with undercroft store restore.",
  ];
}

async function compact(path: string): Promise<string[]> {
  const { compactRecord } = await import("../stores/sqlite/upkeep.ts");
  const { before_B, after_B } = compactRecord(path);
  return [`${path}: ${megabytes(before_B)} before, ${megabytes(after_B)} now.`];
}

async function backup(path: string, copy: string): Promise<string[]> {
  const { backupRecord } = await import("../stores/sqlite/upkeep.ts");
  return [`${copy} is a whole copy of ${path}: ${inWords(await backupRecord(path, copy))}.`];
}

async function restore(path: string, copy: string): Promise<string[]> {
  const { restoreRecord } = await import("../stores/sqlite/restore-record.ts");
  const { checked, aside } = restoreRecord(path, copy, Date.now() / 1000);
  return [
    `${path} is now what ${copy} holds: ${inWords(checked)}.`,
    ...(aside === null ? [] : [`What was there before stands aside as ${aside}.`]),
  ];
}

async function exportTo(path: string, file: string, { basin, ...asked }: Asked): Promise<string[]> {
  const { exported, exportRecord } = await import("../stores/exchange/exchange.ts");
  const { basinName } = await import("../stores/influx/connection.ts");
  const { StoreError } = await import("../stores/store-error.ts");
  const named = basinName.safeParse(basin ?? basinOf(path));
  if (!named.success) throw new StoreError(`--basin: ${named.error.issues[0]?.message}, found ${basin}`);
  const [what = "readings", another] = exported.filter((one) => one !== "readings" && asked[one] === true);
  if (another !== undefined) throw new StoreError(`expected one of --${what} and --${another}, found both`);
  if (await exportRecord(path, { what, file, basin: named.data })) return [`${file} has the ${what} of ${path}.`];
  const derive = what === "cycles" || what === "inflow" ? "; undercroft rebuild derives it from the readings" : "";
  return [`${file} has no rows: ${path} has no ${what} yet${derive}.`];
}

async function importFrom(path: string, recording: string): Promise<string[]> {
  const { importRecording } = await import("../stores/exchange/exchange.ts");
  const done = await importRecording(path, recording);
  if ("readings" in done) {
    return [
      `${path} has ${done.readings} more reading${done.readings === 1 ? "" : "s"}; undercroft rebuild, or the next run, derives cycles from them.`,
    ];
  }
  for (const problem of done.problems) console.error(problem);
  process.exitCode = 2;
  return [];
}

/** The file's name without its ending, as far as such a name may be written. */
function basinOf(path: string): string {
  const name = basename(path, extname(path)).toLowerCase();
  const plain = name.replaceAll(/[^a-z0-9]+/g, "-").slice(0, 64);
  return plain.replaceAll(/^-|-$/g, "") || "basin";
}

function inWords({ readings, from_s, to_s, cycles, findings, size_B }: Checked): string {
  const span = from_s === null || to_s === null ? "" : ` from ${iso(from_s)} to ${iso(to_s)}`;
  const counted = [counting(readings, "reading") + span, counting(cycles, "cycle"), counting(findings, "finding")];
  return `${counted.join(", ")}, ${megabytes(size_B)}`;
}

function counting(count: number, one: string): string {
  return `${count} ${one}${count === 1 ? "" : "s"}`;
}

function iso(time_s: number): string {
  return new Date(time_s * 1000).toISOString();
}

function megabytes(size_B: number): string {
  return `${(size_B / 1e6).toFixed(1)} MB`;
}
