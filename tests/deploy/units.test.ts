// The service units, held against systemd itself: each key known to it, each value one that it takes, each order possible.
// On a tree of the test's own, in which the programs that they name are there.

import { spawnSync } from "node:child_process";
import { cpSync, existsSync, mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { basename, dirname, join } from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";

const deploy = join(import.meta.dirname, "../../deploy");
const units = [
  join(deploy, "undercroft.service"),
  ...readdirSync(join(deploy, "central/units")).map((name) => join(deploy, "central/units", name)),
];
const systemsOwn = "/usr/lib/systemd/system";
const isHere = existsSync(systemsOwn) && spawnSync("systemd-analyze", ["--version"]).status === 0;

let root: string;
beforeEach(() => {
  root = mkdtempSync(join(tmpdir(), "undercroft-units-"));
});
afterEach(() => rmSync(root, { recursive: true }));

function place(): void {
  cpSync(systemsOwn, join(root, systemsOwn), { recursive: true, verbatimSymlinks: true });
  mkdirSync(join(root, "etc/systemd/system"), { recursive: true });
  for (const unit of units) {
    const text = readFileSync(unit, "utf8");
    writeFileSync(join(root, "etc/systemd/system", basename(unit)), text);
    for (const [, program = ""] of text.matchAll(/^Exec\w+=[-@:+!]*(\/\S+)/gm)) {
      mkdirSync(join(root, dirname(program)), { recursive: true });
      writeFileSync(join(root, program), "#!/bin/sh\n", { mode: 0o755 });
    }
  }
}

/** What systemd has to say of them. */
function verify(): string {
  const names = units.map((unit) => basename(unit));
  const options = ["verify", "--man=no", "--recursive-errors=no", `--root=${root}`];
  const { stdout, stderr } = spawnSync("systemd-analyze", [...options, ...names], { encoding: "utf8" });
  return stdout + stderr;
}

describe.runIf(isHere)("the service units", { timeout: 60_000 }, () => {
  it("hold, by systemd's own check", () => {
    place();
    expect(verify()).toBe("");
  });

  it("would not with a key that systemd does not know", () => {
    place();
    const path = join(root, "etc/systemd/system/undercroft.service");
    writeFileSync(path, readFileSync(path, "utf8").replace("ProtectHome=yes", "ProtectHomes=yes"));
    expect(verify()).toContain("'ProtectHomes'");
  });
});
