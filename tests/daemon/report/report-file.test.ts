import {
  mkdtempSync,
  readdirSync,
  readFileSync,
  readlinkSync,
  rmSync,
  symlinkSync,
  writeFileSync,
  writeSync,
} from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { beforeEach, describe, expect, it, onTestFinished } from "vitest";
import { createAnalyzer } from "../../../analysis/analyzer.ts";
import type { Cycle } from "../../../analysis/cycles/cycle.ts";
import { parseSiteFile } from "../../../daemon/config/parse-site-file.ts";
import { openReportFile, type WriteBytes } from "../../../daemon/report/report-file.ts";
import { sourceKinds } from "../../../daemon/sources/index.ts";
import { contractSite } from "../config/contract-site.ts";

const cycle: Cycle = {
  startedAt_s: 1_772_000_000,
  stoppedAt_s: 1_772_000_010,
  run_s: 10,
  rest_s: null,
  startLevel_m: null,
  stopLevel_m: null,
  inflow: null,
  pumpRate: null,
  drainBack_m3: null,
};
const cyclesForSeveralWrites = 1000;

let folder: string;
let path: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), "undercroft-report-"));
  path = join(folder, "report.json");
  onTestFinished(() => rmSync(folder, { recursive: true }));
});

describe("the report's file", () => {
  it("is whole where the disk takes only a part at a time", () => {
    const inParts: WriteBytes = (file, bytes, from, count, position) =>
      writeSync(file, bytes, from, Math.min(count, 4099), position);
    writeReport(inParts);
    const report = JSON.parse(readFileSync(path, "utf8"));
    expect(report.cycles).toHaveLength(cyclesForSeveralWrites);
    expect(report.recording).toEqual({ basin: "Schächte" }); // more bytes than characters
    expect(readdirSync(folder)).toEqual(["report.json"]);
  });

  it.each([
    ["while the cycles come", 40_000],
    ["at the last write", 150_000],
  ])("is not there at all when the disk fills up %s", (_, room) => {
    expect(() => writeReport(diskOf(room))).toThrow(
      `expected a file that can be written, found one on a disk that is full: ${path}`,
    );
    expect(readdirSync(folder)).toEqual([]);
  });

  it("leaves the report of before as it was when the disk fills up", () => {
    writeFileSync(path, "before");
    expect(() => writeReport(diskOf(40_000))).toThrow("full");
    expect([readdirSync(folder), readFileSync(path, "utf8")]).toEqual([["report.json"], "before"]);
  });

  it("follows a link to the file that it leads to, and leaves the link as it was", () => {
    const elsewhere = join(folder, "elsewhere.json");
    writeFileSync(elsewhere, "before");
    symlinkSync(elsewhere, path);
    writeReport(writeSync);
    expect(readlinkSync(path)).toBe(elsewhere);
    expect(JSON.parse(readFileSync(elsewhere, "utf8")).cycles).toHaveLength(cyclesForSeveralWrites);
    expect(readdirSync(folder)).toEqual(["elsewhere.json", "report.json"]);
  });

  it("does not take the place of a device", () => {
    expect(() => openReportFile("/dev/null")).toThrow("found a device or a pipe: /dev/null");
  });

  it("stays when it is discarded after it was finished", () => {
    writeReport(writeSync).discard();
    expect(readdirSync(folder)).toEqual(["report.json"]);
  });
});

/** Takes what there is room for, as the kernel does, and complains at the next attempt. */
function diskOf(room: number): WriteBytes {
  return (file, bytes, from, count, position) => {
    if (position >= room) throw Object.assign(new Error("no space left on device"), { code: "ENOSPC" });
    return writeSync(file, bytes, from, Math.min(count, room - position), position);
  };
}

function writeReport(write: WriteBytes) {
  const parsed = parseSiteFile(contractSite, "site.yaml", sourceKinds);
  if (!parsed.ok) throw new Error("the contract's site");
  const analyzer = createAnalyzer(parsed.siteFile.site, { sink: {} });
  analyzer.finish();
  const file = openReportFile(path, write);
  for (let count = 0; count < cyclesForSeveralWrites; count++) file.add(cycle);
  file.finish(analyzer.summary(), { recording: { basin: "Schächte" } });
  return file;
}
