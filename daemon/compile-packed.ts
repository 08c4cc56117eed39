// Has each packed command work on half a day of the demo's house, and keeps what V8 has compiled then.
// Run by pack.ts: node daemon/compile-packed.ts FOLDER

import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import type { Site } from "../analysis/site.ts";
import { loadSiteFile } from "./config/load-site-file.ts";
import { keepCompiled, loadPacked } from "./load-packed.ts";
import { packedCommands, packedFolder } from "./packed.ts";
import { simulatedHouse } from "./sources/simulated/house.ts";

const packed = process.argv[2] ?? packedFolder;
const siteFile = join(import.meta.dirname, "sources/simulated/demo-house.yaml");
const startTime_s = Date.UTC(2026, 2, 2) / 1000;
const samplePeriod_s = 2;
const readings = 21_600;

const loaded = loadSiteFile(siteFile);
if (!loaded.ok)
  throw new Error(`compile-packed: ${siteFile}: expected a site file, found ${loaded.problems.length} problems`);
const folder = mkdtempSync(join(tmpdir(), "undercroft-compile-"));
try {
  await goThrough(loaded.siteFile.site);
} finally {
  rmSync(folder, { recursive: true });
}

async function goThrough(site: Site): Promise<void> {
  const recording = join(folder, "half-a-day.csv");
  writeFileSync(recording, [...rows(site)].join("\n"));
  const calls = {
    analyze: [
      ["analyze", recording, "--site", siteFile],
      ["analyze", recording, "--site", siteFile, "--budget", "--json", join(folder, "report.json")],
    ],
    size: [["size", "--site", siteFile, "--recording", recording]],
    whatif: [["whatif", recording, "--site", siteFile, "--power-cut", "4 h"]],
    check: [["check", siteFile]],
  };
  for (const command of packedCommands) {
    const { run, script } = loadPacked(command, packed);
    for (const words of calls[command]) {
      process.argv.splice(2, Number.POSITIVE_INFINITY, ...words);
      await run();
    }
    keepCompiled(script, command, packed);
  }
}

function* rows(site: Site): Generator<string> {
  const house = simulatedHouse({ site, scenario: "wet-week", seed: 1, startTime_s, samplePeriod_s });
  yield "time_ms,level_m,pump_on";
  for (let row = 0; row < readings; row += 1) {
    const { time_s, level_m, pumpOn } = house.next();
    yield [time_s * 1000, level_m ?? "", pumpOn === null ? "" : Number(pumpOn)].join(",");
  }
}
