// `undercroft alarms`: how the alarms of a site stand, and a test that reaches each contact.

import type { Command } from "commander";

interface AlarmsOptions {
  readonly site: string;
}

export function register(program: Command): void {
  const alarms = program
    .command("alarms")
    .summary("see how the alarms stand, and test that people are reached")
    .description("How the alarms of a site stand, who is told and what was sent; and a test of it.");
  alarms
    .command("list")
    .summary("each alarm, each contact, the last messages")
    .requiredOption("--site <file>", "the site file (YAML)")
    .action(async (options: AlarmsOptions) => {
      const { listAlarms } = await import("../alarms/command/list-alarms.ts");
      await listAlarms(options.site);
    });
  alarms
    .command("test")
    .summary("send a test to every contact, or to one, and say what became of it")
    .argument("[contact]", "name of a contact; without it, every one")
    .requiredOption("--site <file>", "the site file (YAML)")
    .option("--by <channel>", "by one channel only")
    .addHelpText("after", "\nExit status: 0 every test went through; 2 wrong input, or one did not; 1 a defect.")
    .action(async (contact: string | undefined, options: AlarmsOptions & { readonly by?: string }) => {
      const { testAlarms } = await import("../alarms/command/test-alarms.ts");
      await testAlarms(options.site, contact ?? null, options.by ?? null);
    });
}
