// The command line: what is said of its commands, and what becomes of a wrong one. What each does is in daemon/commands/.

import { Command, CommanderError } from "commander";
import packageFile from "../package.json" with { type: "json" };

const exitAfterDefect = 1;
const exitAfterWrongInput = 2;
const commandsThatStay = ["run", "demo"];

/** However the program was called: no folder of programs need hold it. */
const help = "npm run --silent undercroft -- --help, in the project's folder";

const examples = `
Examples ("undercroft" stands for "npm run --silent undercroft --", in the project's folder):
  undercroft demo                                   watch a basin of our invention through a wet week
  undercroft check site.yaml                        does the site file hold, and what can be said with it?
  undercroft run --site site.yaml                   watch a real basin
  undercroft run --central central.yaml             watch all basins of a round on one page
  undercroft analyze week.csv --site site.yaml      a readable summary of a recording
  undercroft analyze week.csv.gz --site site.yaml --json report.json
  undercroft size --site site.yaml --recording week.csv.gz     how big must the pump be?
  undercroft size --site site.yaml --rise "20 in in 60 s"      the same from a rise watched by hand
  undercroft alarms test --site site.yaml           is everyone reached who should be?
  undercroft whatif week.csv.gz --site site.yaml --power-cut "4 h"   what if the mains fail at the worst moment?

Exit status: 0 done, whatever the answer; 2 wrong input, with one line for each problem; 1 a defect of the program.
It advises; it never switches a pump.`;

/** What adds a command. */
export type Register = (program: Command) => void;

/** Does what the process was called for, and sets its exit status. */
export async function runCommandLine(commands: readonly Register[]): Promise<void> {
  process.on("uncaughtException", stopAfterDefect);
  process.on("unhandledRejection", stopAfterDefect);
  process.stdout.on("error", stopWithoutReader);
  try {
    const program = commandLine(commands);
    if (process.argv.length <= 2) program.error("error: expected a command, found none");
    await program.parseAsync();
  } catch (error) {
    if (!(error instanceof CommanderError)) stopAfterDefect(error);
    process.exitCode = error.exitCode === 0 ? 0 : exitAfterWrongInput;
  }
}

function commandLine(commands: readonly Register[]): Command {
  const program = new Command("undercroft")
    .description(packageFile.description)
    .version(packageFile.version, "-V, --version", "say which version this is")
    .helpOption("-h, --help", "say what a command is for and what it takes")
    .helpCommand("help [command]", "the same as --help")
    .addHelpText("after", examples)
    .configureHelp({ sortSubcommands: false })
    .configureOutput({ outputError: (text, write) => write(`${asOneLine(text)}\n`) })
    .exitOverride();
  for (const register of commands) register(program);
  return program;
}

/** `error: unknown command 'chek'` and the suggestion on the line below, as one line that says who speaks. */
function asOneLine(text: string): string {
  const line = text.trim().replaceAll(/\s*\n\s*/g, " ");
  return `${line.replace(/^error:/, "undercroft:")} (see ${help})`;
}

function stopAfterDefect(error: unknown): never {
  const message = error instanceof Error ? error.message : String(error);
  console.error(`undercroft: a defect of the program: ${message.replaceAll(/\s*\n\s*/g, " ")}`);
  if (process.env.UNDERCROFT_DEBUG === "1") console.error(error);
  process.exit(exitAfterDefect);
}

/** `undercroft check site.yaml | head -1`: whoever reads has seen enough. */
function stopWithoutReader(error: NodeJS.ErrnoException): void {
  // A basin is watched whether or not anybody, or a full disk, takes the log: that line is lost, no more.
  if (commandsThatStay.includes(process.argv[2] ?? "")) return;
  if (error.code === "EPIPE") process.exit();
  stopAfterDefect(error);
}
