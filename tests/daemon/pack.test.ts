import { spawnSync } from "node:child_process";
import { existsSync, mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { pack } from "../../daemon/pack.ts";
import { isPacked, listOfSources, root, type Sources } from "../../daemon/packed.ts";
import { contractSite } from "./config/contract-site.ts";

// Within the project, where packages are found as from daemon/dist.
const cache = join(root, "tests", ".cache");
mkdirSync(cache, { recursive: true });
const folder = mkdtempSync(join(cache, "packed-"));
const packed = join(folder, "dist");
beforeAll(() => pack(packed));
afterAll(() => rmSync(folder, { recursive: true }));

describe("the packed program", () => {
  it("makes the same report as the sources, and reads in a thread of its own", () => {
    const [recording, site] = [join(folder, "day.csv"), join(folder, "site.yaml")];
    writeFileSync(site, contractSite);
    writeFileSync(recording, largeRecording());
    const [ofPacked, ofSources] = [join(packed, "main.js"), join(root, "daemon/main.ts")].map((program, i) => {
      const report = join(folder, `${i}.json`);
      const ran = spawnSync(process.execPath, [program, "analyze", recording, "--site", site, "--json", report], {
        encoding: "utf8",
      });
      expect(ran).toMatchObject({ status: 0, stderr: "" });
      return readFileSync(report, "utf8");
    });
    expect(ofPacked).toBe(ofSources);
  }, 120_000);

  it("finds what lies beside its sources", () => {
    const places = placesIn(packed);
    expect(places).toContain(join(root, "daemon/report/sizing-report-files.ts"));
    expect(places.filter((place) => !existsSync(place))).toEqual([]);
  });

  it("is taken for packed while each of its sources, and what npm has installed, is as it was", () => {
    expect(isPacked(packed)).toBe(true);
    const sources = JSON.parse(readFileSync(listOfSources(packed), "utf8")) as Sources;
    const paths = sources.map(([path]) => path);
    expect(paths).toEqual(expect.arrayContaining(["daemon/main.ts", "analysis/analyzer.ts", "package.json"]));
    expect(paths.some((path) => path.includes("zod"))).toBe(false);
    writeFileSync(listOfSources(packed), JSON.stringify(sources.with(1, [paths[1] ?? "", "1 1"])));
    expect(isPacked(packed)).toBe(false);
    writeFileSync(listOfSources(packed), JSON.stringify(sources).slice(0, -9));
    expect(isPacked(packed)).toBe(false);
    rmSync(listOfSources(packed));
    expect(isPacked(packed)).toBe(false);
  });
});

/** Larger than what is read before a thread has begun: 2 MB. */
function largeRecording(): string {
  const rows = Array.from({ length: 70_000 }, (_, i) => {
    const stamp = new Date(Date.UTC(2026, 2, 2) + i * 1000).toISOString();
    const since_s = i % 620;
    return `${stamp},${since_s < 600 ? 150 + since_s / 3 : 350 - (since_s - 600) * 10},${since_s < 600 ? 0 : 1}`;
  });
  return `time,level_mm,pump_on\n${rows.join("\n")}\n`;
}

/** Where files ask for what lies beside them. */
function placesIn(dist: string): readonly string[] {
  const ours = readdirSync(dist).filter((name) => name.endsWith(".js"));
  return ours.flatMap((name) => {
    const text = readFileSync(join(dist, name), "utf8");
    return [...text.matchAll(/new URL\("([^"]+\.ts)", import\.meta\.url\)/g)].map(([, path]) => join(dist, path ?? ""));
  });
}
