// `undercroft alarms`: how the alarms of a site stand, and a test that reaches each contact.

import type { Command } from "commander";
import type { WhichDaemon } from "../alarms/command/ask-alarms.ts";
import { port } from "./options.ts";

export function register(program: Command): void {
  const alarms = program
    .command("alarms")
    .summary("see how the alarms stand, and test that people are reached")
    .description("How the alarms of a site stand, who is told and what was sent; and a test of it.");
  const command = (name: string, summary: string, description: string) =>
    alarms
      .command(name)
      .summary(summary)
      .description(`${description}\nAsks the daemon that watches; where none does, it looks and sends by itself.`)
      .requiredOption("--site <file>", "the site file (YAML)")
      .option("--store <file>", "file of the readings, where undercroft run was given one")
      .option("--host <address>", "address of the page, where undercroft run was given one")
      .option("--port <port>", "port of the page, where undercroft run was given one", port);
  command(
    "list",
    "each alarm, each contact, the last messages",
    "How each alarm stands, when each way to each contact was last proven, and the last messages.",
  ).action(async (which: WhichDaemon) => {
    const { listAlarms } = await import("../alarms/command/list-alarms.ts");
    await listAlarms(which);
  });
  command(
    "test",
    "send a test to every contact, or to one, and say what became of it",
    "Sends a test by each way to each contact, or to one, and says what became of it.",
  )
    .argument("[contact]", "name of a contact; without it, every one")
    .option("--by <channel>", "by one channel only")
    .addHelpText("after", "\nExit status: 0 every test went through; 2 wrong input, or one did not; 1 a defect.")
    .action(async (contact: string | undefined, { by, ...which }: WhichDaemon & { readonly by?: string }) => {
      const { testAlarms } = await import("../alarms/command/test-alarms.ts");
      await testAlarms(which, contact ?? null, by ?? null);
    });
}
