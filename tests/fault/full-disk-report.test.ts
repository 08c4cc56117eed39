// A report for which the disk has no room: one line, no file, and not the status of a report that was made.

import { spawnSync } from "node:child_process";
import { mkdtempSync, readdirSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { describe, expect, it, onTestFinished } from "vitest";
import { contractSite } from "../daemon/config/contract-site.ts";
import { mayMount, tinyDisk } from "./tiny-disk.ts";

const program = join(import.meta.dirname, "../../daemon/undercroft.js");

// Where mounting is not allowed, tests/daemon/report/report-file.test.ts with its disk of a few bytes has to do.
describe.runIf(mayMount())("undercroft analyze --json on a full disk", () => {
  it("says so in one line, ends with status 2 and leaves nothing behind", () => {
    const folder = mkdtempSync(join(tmpdir(), "undercroft-analyze-"));
    const disk = tinyDisk();
    onTestFinished(() => {
      disk.remove();
      rmSync(folder, { recursive: true });
    });
    const site = join(folder, "site.yaml");
    const recording = join(folder, "one.csv");
    writeFileSync(site, contractSite);
    writeFileSync(recording, "time,level_mm\n2026-03-02T20:00:00Z,200\n");
    disk.fill();

    const json = join(disk.folder, "report.json");
    const { status, stdout, stderr } = spawnSync(
      process.execPath,
      [program, "analyze", recording, "--site", site, "--json", json],
      { encoding: "utf8" },
    );
    expect({ status, stdout, stderr }).toEqual({
      status: 2,
      stdout: "",
      stderr: `--json: expected a file that can be written, found one on a disk that is full: ${json}\n`,
    });
    expect(readdirSync(disk.folder)).toEqual(["ballast"]);
  });
});
