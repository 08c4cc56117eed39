// `undercroft check SITE.yaml`: does a site file hold, and what does it mean? Reads that one file and nothing else.

import type { Command } from "commander";

const cautions = `Cautions
  Mains power beside water can kill: leave wiring to someone licensed for it, on a circuit with a ground-fault breaker.
  Local codes come first, and no figure here stands in for licensed practice.
  A basin is a confined space: do not climb in, and keep it covered.`;

export function register(program: Command): void {
  program
    .command("check")
    .summary("validate a site file and say in words what it means")
    .description(
      "Validates a site file: every problem in one line with its place, what was found and what is expected.\n" +
        "If there is none, says what the file means, what can be said with it and what one more key would add.",
    )
    .argument("<site>", "the site file (YAML)")
    .addHelpText("after", "\nExit status: 0 the file holds; 2 it does not, or cannot be read.")
    .action(check);
}

async function check(path: string): Promise<void> {
  const { loadSiteFile } = await import("../config/load-site-file.ts");
  const loaded = loadSiteFile(path);
  if (!loaded.ok) {
    for (const { text } of loaded.problems) console.error(text);
    process.exitCode = 2;
    return;
  }
  const { describeSite } = await import("../config/describe-site.ts");
  console.log(`${path} holds: ${loaded.siteFile.site.name}\n`);
  for (const { heading, lines } of describeSite(loaded.siteFile)) {
    console.log(`${[heading, ...lines.map((line) => `  ${line}`)].join("\n")}\n`);
  }
  console.log(cautions);
}
