// `undercroft central password`: the hash of a password, for a log-in of the central view.

import { createInterface } from "node:readline";
import type { Command } from "commander";

const least = 10;

export function register(program: Command): void {
  const central = program
    .command("central")
    .summary("what the central view's file needs")
    .description("What the central view's file needs. The central view itself: undercroft run --central central.yaml");
  central
    .command("password")
    .summary("the hash of a password, for a log-in")
    .description(
      `Reads a password from the terminal, where it is not shown, or a line of standard input, and prints its hash for\n` +
        `the key logins[].password. At least ${least} characters; three or four words that do not belong together are good.`,
    )
    .addHelpText("after", "\nExit status: 0 the hash was printed; 2 the password is too short.")
    .action(password);
}

async function password(): Promise<void> {
  const text = await readLine();
  if (text.length < least) {
    console.error(`password: expected at least ${least} characters, found ${text.length}`);
    process.exitCode = 2;
    return;
  }
  const { hashPassword } = await import("../central/access/password.ts");
  console.log(await hashPassword(text));
}

/** What is typed is not shown: the terminal is told not to, and the prompt stands on the other stream. */
async function readLine(): Promise<string> {
  const { stdin, stderr } = process;
  if (!stdin.isTTY) {
    for await (const line of createInterface({ input: stdin })) return line;
    return "";
  }
  stderr.write("Password (not shown): ");
  stdin.setRawMode(true);
  stdin.setEncoding("utf8");
  let text = "";
  try {
    for await (const chunk of stdin) {
      for (const key of String(chunk)) {
        if (key === "\r" || key === "\n") return text;
        if (key === "\u0003" || key === "\u0004") return "";
        text = key === "\u007f" || key === "\b" ? text.slice(0, -1) : text + key;
      }
    }
    return text;
  } finally {
    stdin.setRawMode(false);
    stderr.write("\n");
  }
}
