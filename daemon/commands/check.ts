// `undercroft check SITE.yaml`: does a site file hold, and what does it mean? Reads that one file and nothing else. Takes
// the central view's file too.

import type { Command } from "commander";
import type { Paragraph } from "../config/describe-site.ts";
import { wrapped } from "../report/wrapped.ts";

const cautions: Paragraph = {
  heading: "Cautions",
  lines: [
    "Mains power beside water can kill: leave wiring to someone licensed for it, on a circuit with a ground-fault breaker.",
    "Local codes come first, and no figure here stands in for licensed practice.",
    "A basin is a confined space: do not climb in, and keep it covered.",
  ],
};

export function register(program: Command): void {
  program
    .command("check")
    .summary("validate a site file, or the central view's, and say in words what it means")
    .description(
      "Validates a site file: every problem in one line with its place, what was found and what is expected.\n" +
        "If there is none, says what the file means, what can be said with it and what one more key would add.\n" +
        "A file with a broker and no basin of its own is taken for the central view's.",
    )
    .argument("<site>", "the site file, or the central view's file (YAML)")
    .addHelpText("after", "\nExit status: 0 the file holds; 2 it does not, or cannot be read.")
    .action(check);
}

async function check(path: string): Promise<void> {
  const { isCentralFile } = await import("../central/config/is-central-file.ts");
  if (isCentralFile(path)) return checkCentral(path);
  const { loadSiteFile } = await import("../config/load-site-file.ts");
  const loaded = loadSiteFile(path);
  if (!loaded.ok) {
    for (const { text } of loaded.problems) console.error(text);
    process.exitCode = 2;
    return;
  }
  const { describeSite } = await import("../config/describe-site.ts");
  say(path, loaded.siteFile.site.name, describeSite(loaded.siteFile));
}

async function checkCentral(path: string): Promise<void> {
  const { loadCentralFile } = await import("../central/config/load-central-file.ts");
  const loaded = loadCentralFile(path);
  if (!loaded.ok) {
    for (const { text } of loaded.problems) console.error(text);
    process.exitCode = 2;
    return;
  }
  const { describeCentral } = await import("../central/config/describe-central.ts");
  say(path, loaded.centralFile.view.name, describeCentral(loaded.centralFile));
}

function say(path: string, name: string, paragraphs: readonly Paragraph[]): void {
  const sections = [...paragraphs, cautions].map(({ heading, lines }) =>
    [heading, ...lines.flatMap(wrapped)].join("\n"),
  );
  console.log([`${path} holds: ${name}`, ...sections].join("\n\n"));
}
