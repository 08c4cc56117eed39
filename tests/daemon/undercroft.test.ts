import { spawnSync } from "node:child_process";
import { chmodSync, copyFileSync, mkdirSync, mkdtempSync, readdirSync, rmSync, statSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { Command } from "commander";
import { afterAll, describe, expect, it } from "vitest";
import type { Register } from "../../daemon/command-line.ts";
import { asFunction, packedProgram } from "../../daemon/load-packed.ts";
import { listOfSources, packedCommands } from "../../daemon/packed.ts";
import { quickCommands } from "../../daemon/quick-commands.ts";

// A checkout without node_modules: the door and, behind it, a program that says with what it was called.
const folder = mkdtempSync(join(tmpdir(), "undercroft-door-"));
mkdirSync(join(folder, "daemon"));
const packageFile = join(folder, "package.json");
writeFileSync(packageFile, '{ "type": "module" }');
for (const file of ["daemon/undercroft.js", "daemon/need-packages.js", "daemon/packed.ts", "daemon/load-packed.ts"]) {
  copyFileSync(new URL(`../../${file}`, import.meta.url), join(folder, file));
}
const program = "console.log('program', ...process.argv.slice(2));";
writeFileSync(join(folder, "daemon/main.ts"), program);
afterAll(() => rmSync(folder, { recursive: true }));

describe("the door", () => {
  it("goes straight into the program under a Node that is new enough", () => {
    expect(door(["check", "a.yaml"])).toMatchObject({ status: 0, stdout: "program check a.yaml\n" });
  });

  it("says in one line what it needs under an older Node without the pinned one, and ends with status 2", () => {
    const { status, stdout, stderr } = door(["check"], "20.19.0");
    expect(status).toBe(2);
    expect(stdout).toBe("");
    expect(stderr).toMatch(/^undercroft needs Node 26 or newer, and this is Node 20\.19\.0; run "npm ci" .*\n$/);
  });

  it.each(["undercroft.js", "need-packages.js"])("says in one line that npm ci has not been run: %s", (file) => {
    writeFileSync(packageFile, '{ "type": "module", "dependencies": { "fastify": "5" } }');
    const { status, stdout, stderr } = door(["run"], undefined, file);
    writeFileSync(packageFile, '{ "type": "module" }');
    expect([status, stdout]).toEqual([2, ""]);
    expect(stderr).toBe(
      'undercroft: package "fastify" is not installed; run "npm ci" in the project\'s folder first.\n',
    );
  });

  it("gives the daemon on Linux one heap for all threads, and says nothing of it", () => {
    writeFileSync(
      join(folder, "daemon/main.ts"),
      "console.log(process.env.MALLOC_ARENA_MAX, ...process.argv.slice(2));",
    );
    const heaps = process.platform === "linux" ? "1" : "undefined";
    const ran = door(["run", "--port", "0"]);
    expect(ran).toMatchObject({ status: 0, stdout: `${heaps} run --port 0\n`, stderr: "" });
    expect(door(["check"])).toMatchObject({ stdout: "undefined check\n" });
    writeFileSync(join(folder, "daemon/main.ts"), program);
  });

  it("keeps what was compiled, and does without where it may not", () => {
    const compiled = join(folder, "compiled");
    expect(door(["run"], undefined, "undercroft.js", compiled).status).toBe(0);
    expect(readdirSync(compiled)).toHaveLength(1);
    expect(door(["run"], undefined, "undercroft.js", join(packageFile, "no-folder"))).toMatchObject({
      status: 0,
      stderr: "",
    });
  });

  it("takes what was packed of these very sources for commands that come and go, and for nothing else", () => {
    const source = join(folder, "daemon/main.ts");
    const dist = join(folder, "daemon/dist");
    mkdirSync(dist);
    const packed = asFunction("exports.run = async () => console.log('packed', ...process.argv.slice(2));");
    const [{ size, mtimeMs }, names] = [statSync(source), commandsOf(quickCommands)];
    expect([...names].sort()).toEqual([...packedCommands].sort());
    const list = (mark: string) => {
      for (const command of names)
        writeFileSync(listOfSources(dist, command), JSON.stringify([["daemon/main.ts", mark]]));
    };
    for (const command of names) writeFileSync(join(dist, packedProgram(command)), packed);
    expect(door(["analyze", "a.csv"])).toMatchObject({ status: 0, stdout: "program analyze a.csv\n" });
    list(`${size} ${mtimeMs}`);
    for (const command of names)
      expect(door([command, "a"])).toMatchObject({ status: 0, stdout: `packed ${command} a\n` });
    expect(door(["run"])).toMatchObject({ status: 0, stdout: "program run\n" });
    writeFileSync(join(dist, packedProgram("check")), packed.slice(0, -3));
    expect(door(["check", "a"])).toMatchObject({ status: 0, stdout: "program check a\n", stderr: "" });
    rmSync(join(dist, packedProgram("check")));
    expect(door(["check", "a"])).toMatchObject({ status: 0, stdout: "program check a\n", stderr: "" });
    expect(door(["analyze", "a.csv"])).toMatchObject({ status: 0, stdout: "packed analyze a.csv\n" });
    const isPackedAs = (program: string) =>
      writeFileSync(join(dist, packedProgram("analyze")), asFunction(`exports.run = async () => { ${program} };`));
    isPackedAs("process.exitCode = 2; setTimeout(() => console.log('late'), 50);");
    expect(door(["analyze"])).toMatchObject({ status: 2, stdout: "late\n" });
    isPackedAs("process.stdout.write('x'.repeat(9e5));");
    expect(door(["analyze"]).stdout).toHaveLength(9e5);
    isPackedAs("await new Promise(() => {});");
    expect(door(["analyze"]).status).not.toBe(0);
    list(`${size} ${mtimeMs - 1}`);
    expect(door(["analyze", "a.csv"])).toMatchObject({ status: 0, stdout: "program analyze a.csv\n" });
  });

  it("hands over to the pinned Node when there is one, with its status", () => {
    const bin = join(folder, `node_modules/node-${process.platform}-${process.arch}/bin`);
    mkdirSync(bin, { recursive: true });
    writeFileSync(join(bin, "node"), '#!/bin/sh\necho "pinned $2"; exit 7\n');
    chmodSync(join(bin, "node"), 0o755);
    expect(door(["check"], "20.19.0")).toMatchObject({ status: 7, stdout: "pinned check\n" });
  });

  it("says in one line that the pinned Node cannot be started, and ends with status 1", () => {
    const bin = join(folder, `node_modules/node-${process.platform}-${process.arch}/bin`);
    mkdirSync(bin, { recursive: true });
    writeFileSync(join(bin, "node"), "");
    chmodSync(join(bin, "node"), 0o644);
    const { status, stdout, stderr } = door(["check"], "20.19.0");
    expect([status, stdout]).toEqual([1, ""]);
    expect(stderr).toMatch(/^undercroft: the pinned Node cannot be started: spawn \S+\/bin\/node EACCES\n$/);
  });
});

function commandsOf(registers: readonly Register[]): readonly string[] {
  const program = new Command();
  for (const register of registers) register(program);
  return program.commands.map((command) => command.name());
}

function door(args: readonly string[], pretendNode?: string, file = "undercroft.js", compiled?: string) {
  const pretend = `Object.defineProperty(process, "versions", { value: { ...process.versions, node: "${pretendNode}" } })`;
  const options = pretendNode === undefined ? [] : ["--import", `data:text/javascript,${encodeURIComponent(pretend)}`];
  const { MALLOC_ARENA_MAX: _, ...ours } = process.env;
  const env = { ...ours, ...(compiled === undefined ? {} : { NODE_COMPILE_CACHE: compiled }) };
  return spawnSync(process.execPath, [...options, join(folder, "daemon", file), ...args], { encoding: "utf8", env });
}
