// The command line that looks after a central machine: sets it up, enrols boards, renews what lapses.

import { resolve } from "node:path";
import { Command, CommanderError, InvalidArgumentError } from "commander";
import { boardsHere, enrol, remove, renew } from "./boards.ts";
import { bringUp } from "./bring-up.ts";
import { type BasinWords, refuseUnfitCentralFile } from "./central-file.ts";
import { keepAllCertificates } from "./certificates.ts";
import { loadMachine } from "./machine.ts";
import { Mistake } from "./mistake.ts";
import { type Places, placesBelow } from "./places.ts";
import { type Service, takeUp } from "./services.ts";
import { makeConfiguration, prepareDatabase } from "./set-up.ts";

interface SetUpOptions {
  readonly name?: string[];
  readonly listen?: string;
  readonly brokerPort?: number;
  readonly databasePort?: number;
  readonly rpcPort?: number;
  readonly pagePort?: number;
  readonly keepReadings?: number;
  readonly filesOnly?: boolean;
}

const program = new Command("undercroft-central")
  .description("Looks after one machine for many boards: broker, database and central view.")
  .helpOption("-h, --help", "say what a command is for and what it takes")
  .helpCommand("help [command]", "the same as --help")
  .configureHelp({ commandDescription: (command) => sentence(command.description()) })
  .option("--root <folder>", "make the tree below this folder and leave the machine alone", "/")
  .configureOutput({ outputError: (text, write) => write(`undercroft-central: ${text.replace(/^error: /, "")}`) })
  .exitOverride();

program
  .command("set-up")
  .description("makes certificates, configuration and accounts, and starts the services; can be run again")
  .option("--name <name>", "host name or address under which boards reach the machine; the first is told them", collect)
  .option("--listen <address>", "address to listen on; by default every one")
  .option("--broker-port <port>", "8883 by default", port)
  .option("--database-port <port>", "8086 by default", port)
  .option("--rpc-port <port>", "of the database, inside the machine; 8088 by default", port)
  .option("--page-port <port>", "8443 by default", port)
  .option(
    "--keep-readings <days>",
    "how long single readings are kept, 400 by default; all else is kept for ever",
    days,
  )
  .option("--files-only", "start nothing; `prepare-database` does the rest once broker and database run")
  .action(async ({ name, keepReadings, filesOnly = false, ...given }: SetUpOptions) => {
    await makeConfiguration(places(), {
      ...given,
      ...(name !== undefined && { names: name }),
      ...(keepReadings !== undefined && { keepReadings_d: keepReadings }),
    });
    if (filesOnly) console.log(`The files are below ${places().etc}; nothing was started.`);
    else for (const line of await bringUp(places())) console.log(line);
  });

program
  .command("prepare-database")
  .description("makes the accounts and the database of the boards at a database that runs; part of set-up")
  .action(() => prepareDatabase(places()));

program
  .command("enrol <board>")
  .description("accounts, a place in the central view and one file to carry to the board; can be run again")
  .option("--title <text>", "what people call the basin")
  .option("--group <text>", "what it is listed under: a street, a building, a round")
  .option("--place <text>", "where to find it")
  .option("--customer <name>", "whose basin it is, as under `customers` in central.yaml")
  .action(async (name: string, words: BasinWords) => {
    const [bundle = ""] = await enrol(places(), [{ name, words }]);
    changed(["broker", "reload"], ["view", "restart"]);
    sayWhatToCarry(name, bundle);
  });

program
  .command("renew <board>")
  .description("new passwords: the old ones end at once, and the board is shut out until its new file is on it")
  .action(async (name: string) => {
    const bundle = await renew(places(), name);
    changed(["broker", "reload"]);
    sayWhatToCarry(name, bundle);
  });

program
  .command("remove <board>")
  .description("takes its accounts away and its place in the central view; what it wrote stays")
  .action(async (name: string) => {
    await remove(places(), name);
    changed(["broker", "reload"], ["view", "restart"]);
    console.log(`${name} is removed. What it wrote stays in the database.`);
  });

program
  .command("boards")
  .description("names the boards that are enrolled")
  .action(() => {
    for (const name of boardsHere(places())) console.log(name);
  });

program
  .command("renew-certificates")
  .description("makes anew those that lapse within 90 days; a timer does this every week")
  .option("--all", "make all of them anew, not the authority's")
  .action(({ all = false }: { readonly all?: boolean }) => {
    const renewed = keepAllCertificates(places(), loadMachine(places()), { anyway: all });
    console.log(renewed.length === 0 ? "All certificates are good." : `New certificates: ${renewed.join(", ")}.`);
    changed(...renewed.map((service) => [service, service === "broker" ? "reload" : "restart"] as const));
  });

try {
  await program.parseAsync();
} catch (error) {
  if (error instanceof Mistake) console.error(`undercroft-central: ${error.message}`);
  else if (!(error instanceof CommanderError)) throw error;
  process.exitCode = error instanceof CommanderError && error.exitCode === 0 ? 0 : 2;
}

function places(): Places {
  const { root } = program.opts<{ readonly root: string }>();
  if (root === "/" && process.getuid?.() !== 0)
    throw new Mistake("run it as root: it writes into /etc and starts services");
  return placesBelow(resolve(root));
}

function changed(...services: readonly (readonly [Service, "reload" | "restart"])[]): void {
  for (const [service, how] of services) {
    if (service === "view") refuseUnfitCentralFile(places());
    const line = takeUp(places(), service, how);
    if (line !== null) console.log(line);
  }
}

function sayWhatToCarry(name: string, bundle: string): void {
  console.log(`${name} is enrolled. Carry this file to the board; it holds passwords, so not by mail:

  ${bundle}

and there, as root:

  tar -C / -xf ${name}.tar && rm ${name}.tar
  cat /etc/undercroft/central/sections.yaml >> /etc/undercroft/site.yaml
  systemctl daemon-reload && systemctl restart undercroft`);
}

function sentence(text: string): string {
  return `${text.charAt(0).toUpperCase()}${text.slice(1).replace(/\.$/, "")}.`;
}

function collect(name: string, before: string[] = []): string[] {
  return [...before, name];
}

function port(text: string): number {
  return wholeNumber(text, 1, 65_535, "a port");
}

function days(text: string): number {
  return wholeNumber(text, 7, 36_500, "a number of days");
}

function wholeNumber(text: string, least: number, most: number, what: string): number {
  if (/^\d{1,5}$/.test(text) && Number(text) >= least && Number(text) <= most) return Number(text);
  throw new InvalidArgumentError(`Expected ${what}, ${least} to ${most}, found ${JSON.stringify(text)}.`);
}
