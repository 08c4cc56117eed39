import { mkdtempSync, readdirSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import { silentReading } from "../../../../analysis/readings/reading.ts";
import { openSeconds } from "../../../../daemon/stores/recent/seconds.ts";

const owner = "0123456789abcdef";
const readings = [1, 2, 3].map((time_s) => ({ ...silentReading, time_s, level_m: time_s / 10 }));
let folder: string;
let path: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), "undercroft-seconds-"));
  path = join(folder, "store.db");
});
afterEach(() => {
  openSeconds(path, owner).file.close(true);
  rmSync(folder, { recursive: true });
});

const found = (name = owner) => {
  const { file, stretches } = openSeconds(path, name);
  file.close(false);
  return stretches.map(({ firstNth, readings: some }) => ({ firstNth, readings: some }));
};

describe("the readings of the last seconds", () => {
  it("outlive whoever noted them, with their place in the record", () => {
    const { file } = openSeconds(path, owner);
    file.put(41, readings);
    file.put(44, readings.slice(0, 1));
    expect(found()).toEqual([
      { firstNth: 41, readings },
      { firstNth: 44, readings: readings.slice(0, 1) },
    ]);
    file.close(false);
    const again = openSeconds(path, owner).file;
    again.put(45, readings);
    expect(found()).toHaveLength(3);
    again.close(false);
  });

  it("stand in the folder in memory that a service has of its own", () => {
    vi.stubEnv("RUNTIME_DIRECTORY", `${folder}:/nowhere`);
    const { file } = openSeconds(path, owner);
    file.put(41, readings);
    expect(readdirSync(folder)).toEqual([expect.stringMatching(/^undercroft-[0-9a-f]{24}$/)]);
    expect(found()).toHaveLength(1);
    file.close(true);
    expect(readdirSync(folder)).toEqual([]);
    vi.unstubAllEnvs();
  });

  it("are gone once the card has them", () => {
    const { file } = openSeconds(path, owner);
    file.put(41, readings);
    file.clear();
    expect(found()).toEqual([]);
    file.put(44, readings);
    expect(found()).toEqual([{ firstNth: 44, readings }]);
    file.close(true);
    expect(found()).toEqual([]);
  });

  it("of another store in the same place count for nothing", () => {
    const { file } = openSeconds(path, owner);
    file.put(41, readings);
    file.close(false);
    expect(found("fedcba9876543210")).toEqual([]);
  });
});
