import { type ChildProcessWithoutNullStreams, spawn } from "node:child_process";
import { existsSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import { text } from "node:stream/consumers";
import { afterAll, describe, expect, it } from "vitest";
import { contractSite } from "../daemon/config/contract-site.ts";
import { until } from "./until.ts";

const main = resolve(import.meta.dirname, "../../daemon/main.ts");
const folder = mkdtempSync(join(tmpdir(), "undercroft-main-"));
const site = join(folder, "site.yaml");
writeFileSync(site, contractSite);
afterAll(() => rmSync(folder, { recursive: true }));

describe.concurrent("the command line", () => {
  it("says what each command is for, with examples and what the status means", async () => {
    const { status, stdout, stderr } = await undercroft(["--help"]);
    expect([status, stderr]).toEqual([0, ""]);
    for (const command of ["run", "demo", "analyze", "check", "rebuild"]) {
      expect(stdout).toMatch(new RegExp(`^ {2}${command} .*\\S`, "m"));
    }
    expect(stdout).toContain("Examples (");
    expect(stdout).toContain("2 wrong input");
    expect(stdout).toContain("It advises; it never switches a pump");
    const run = await undercroft(["run", "--help"]);
    expect(run.stdout.replaceAll(/\s+/g, " ")).toMatch(/--port .*8047.*--host .*127\.0\.0\.1.*--store .*\.sqlite/);
  });

  it.each([
    [
      ["chek"],
      /^undercroft: unknown command 'chek' \(Did you mean check\?\) \(see npm run --silent undercroft -- --help, [^)]+\)\n$/,
    ],
    [["check"], /^undercroft: missing required argument 'site' \(see npm run [^)]+\)\n$/],
    [[], /^undercroft: expected a command, found none \(see npm run [^)]+\)\n$/],
  ])("answers %j in one line, with status 2", async (args, message) => {
    const { status, stdout, stderr } = await undercroft(args);
    expect([status, stdout]).toEqual([2, ""]);
    expect(stderr).toMatch(message);
  });

  it("checks a site file without loading the drivers, the server or the store", async () => {
    const { status, stdout, stderr } = await undercroft(
      ["check", site],
      forbid("mqtt", "onoff", "fastify", "node:sqlite"),
    );
    expect([status, stderr]).toEqual([0, ""]);
    expect(stdout).toContain("holds: Example house");
  });

  it("names a defect of its own in one line, with status 1, and shows where only on request", async () => {
    const { status, stderr } = await undercroft(["check", site], forbid("yaml"));
    expect(status).toBe(1);
    expect(stderr).toBe("undercroft: a defect of the program: yaml is not to be loaded\n");
    const debug = await undercroft(["check", site], forbid("yaml"), { UNDERCROFT_DEBUG: "1" });
    expect(debug.stderr).toContain("    at ");
  });

  it("leaves no half a report behind when it is interrupted", async () => {
    const report = join(folder, "interrupted.json");
    const child = spawn(process.execPath, [main, "analyze", "-", "--site", site, "--json", report]);
    child.stdin.write("time_ms,level_mm\n0,200\n"); // and never ends
    await until("the report is begun", () => existsSync(`${report}.partial`));
    child.kill("SIGINT");
    expect((await ended(child)).status).toBe(130);
    expect([existsSync(report), existsSync(`${report}.partial`)]).toEqual([false, false]);
  });

  it("ends quietly when whoever reads has seen enough", async () => {
    const command = `"${process.execPath}" "${main}" check "${site}" | true; exit "\${PIPESTATUS[0]}"`;
    const { status, stderr } = await ended(spawn("bash", ["-c", command]));
    expect([status, stderr]).toEqual([0, ""]);
  });
});

function undercroft(
  args: readonly string[],
  options: readonly string[] = [],
  env: Readonly<Record<string, string>> = {},
) {
  return ended(spawn(process.execPath, [...options, main, ...args], { env: { ...process.env, ...env } }));
}

async function ended(child: ChildProcessWithoutNullStreams) {
  const status = new Promise<number | null>((resolve) => child.once("close", resolve));
  const [stdout, stderr] = await Promise.all([text(child.stdout), text(child.stderr)]);
  return { status: await status, stdout, stderr };
}

/** Options for Node under which loading one of these modules is an error. */
function forbid(...modules: readonly string[]): string[] {
  const hook = `import { registerHooks } from "node:module";
    registerHooks({ resolve(name, context, next) {
      if (${JSON.stringify(modules)}.includes(name)) throw new Error(name + " is not to be loaded");
      return next(name, context);
    } });`;
  return ["--import", `data:text/javascript,${encodeURIComponent(hook)}`];
}
