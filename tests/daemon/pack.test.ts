import { spawnSync } from "node:child_process";
import {
  chmodSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  writeFileSync,
} from "node:fs";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { compiledProgram, packedProgram } from "../../daemon/load-packed.ts";
import { pack } from "../../daemon/pack.ts";
import { isPacked, listOfSources, packedCommands, root, type Sources } from "../../daemon/packed.ts";
import { contractSite } from "./config/contract-site.ts";

// Within the project, where packages are found as from daemon/dist.
const cache = join(root, "tests", ".cache");
mkdirSync(cache, { recursive: true });
const folder = mkdtempSync(join(cache, "packed-"));
const packed = join(folder, "dist");
beforeAll(() => pack(packed));
afterAll(() => rmSync(folder, { recursive: true }));

describe("a packed command", () => {
  it("makes the same report as the sources, and reads in a thread of its own", () => {
    const [recording, site] = [join(folder, "day.csv"), join(folder, "site.yaml")];
    writeFileSync(site, contractSite);
    writeFileSync(recording, largeRecording());
    const [ofPacked, ofSources] = [runsPacked(), join(root, "daemon/main.ts")].map((program, i) => {
      const report = join(folder, `${i}.json`);
      const ran = spawnSync(process.execPath, [program, "analyze", recording, "--site", site, "--json", report], {
        encoding: "utf8",
      });
      expect(ran).toMatchObject({ status: 0, stderr: "" });
      return readFileSync(report, "utf8");
    });
    expect(ofPacked).toBe(ofSources);
  }, 120_000);

  it("comes with what V8 has compiled of it, and compiles anew where that is cut off, spoilt, another's or away", () => {
    const [file, source] = [join(packed, compiledProgram("analyze")), join(packed, packedProgram("analyze"))];
    const compiled = readFileSync(file);
    const text = readFileSync(source, "utf8");
    expect(howCompiled()).toBe("taken");
    const spoilt = Buffer.from(compiled);
    spoilt.fill(0, 500_000, 504_096);
    for (const unfit of [spoilt, compiled.subarray(0, -1), compiled.subarray(0, 3)]) {
      writeFileSync(file, unfit);
      expect(howCompiled()).toBe("compiled anew");
    }
    rmSync(file);
    expect(howCompiled()).toBe("compiled anew");
    writeFileSync(file, compiled);
    writeFileSync(source, text.replace("undercroft", "undercraft"));
    expect(howCompiled()).toBe("compiled anew");
    writeFileSync(source, text);
    expect(howCompiled()).toBe("taken");
    expect(howCompiled("--max-lazy")).toBe("another V8's");
  });

  it("is compiled under flags that this V8 knows, once it is loaded", () => {
    const program = `import { compileSooner } from ${JSON.stringify(join(root, "daemon/load-packed.ts"))};
import { Script } from "node:vm";
// What was compiled names at its head the flags that it was compiled under.
const script = new Script("0");
const flagsOf = () => script.createCachedData().toString("hex", 0, 32);
const before = flagsOf();
compileSooner();
console.log(before === flagsOf());`;
    const ran = spawnSync(process.execPath, ["--input-type=module", "--eval", program], { encoding: "utf8" });
    expect(ran).toMatchObject({ status: 0, stdout: "false\n", stderr: "" });
  });

  it("writes nothing", () => {
    const before = readdirSync(packed);
    chmodSync(packed, 0o555);
    expect(howCompiled()).toBe("taken");
    chmodSync(packed, 0o755);
    expect(readdirSync(packed)).toEqual(before);
  });

  it.each(packedCommands)("%s loads none of Node's own modules before it is needed", (command) => {
    const text = readFileSync(join(packed, packedProgram(command)), "utf8");
    expect(text.match(/\(require\("node:.+"\)\)\./g)?.length).toBeGreaterThan(10);
    expect(text.match(/^let \w+ = require\("node:.+"\);$/gm)).toBeNull();
  });

  it("holds what it needs, and not what only another does", () => {
    const [analyze, size] = ["analyze", "size"].map((name) => readFileSync(join(packed, packedProgram(name)), "utf8"));
    expect(size).toContain("function sizeBasin(");
    expect(analyze).not.toContain("function sizeBasin(");
  });

  it("is of single bytes, whatever it says in words", () => {
    const programs = readdirSync(packed).filter((name) => /\.c?js$/.test(name));
    expect(programs).toHaveLength(packedCommands.length + 1);
    for (const program of programs) expect(readFileSync(join(packed, program), "utf8").match(/[^\0-\x7f]/)).toBeNull();
    expect(readFileSync(join(packed, packedProgram("size")), "utf8")).toContain("m\\u00b3");
  });

  it("finds what lies beside its sources", () => {
    const places = placesIn(packed);
    expect(places).toContain(join(root, "daemon/report/sizing-report-files.ts"));
    expect(places.filter((place) => !existsSync(place))).toEqual([]);
  });

  it("is taken for packed while each of its sources, and what npm has installed, is as it was", () => {
    for (const command of packedCommands) expect(isPacked(command, packed)).toBe(true);
    const list = listOfSources(packed, "analyze");
    const sources = JSON.parse(readFileSync(list, "utf8")) as Sources;
    const paths = sources.map(([path]) => path);
    expect(paths).toEqual(
      expect.arrayContaining(["daemon/commands/analyze.ts", "analysis/analyzer.ts", "package.json"]),
    );
    expect(paths).toContain("daemon/recordings/reading-thread.ts");
    expect(paths.filter((path) => /zod|packed-/.test(path))).toEqual([]);
    writeFileSync(list, JSON.stringify(sources.with(1, [paths[1] ?? "", "1 1"])));
    expect(isPacked("analyze", packed)).toBe(false);
    writeFileSync(list, JSON.stringify(sources).slice(0, -9));
    expect(isPacked("analyze", packed)).toBe(false);
    rmSync(list);
    expect(isPacked("analyze", packed)).toBe(false);
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
  const text = packedCommands.map((command) => readFileSync(join(dist, packedProgram(command)), "utf8")).join("\n");
  return [...text.matchAll(/new URL\("([^"]+\.ts)", require\("url"\)/g)].map(([, path]) => join(dist, path ?? ""));
}

/** A program that does what the door does with the packed one, and may say how it was compiled. */
function runsPacked(): string {
  const program = join(folder, "run-packed.ts");
  writeFileSync(
    program,
    `import { compileSooner, loadPacked } from ${JSON.stringify(join(root, "daemon/load-packed.ts"))};
const { run, script } = loadPacked("analyze", ${JSON.stringify(packed)});
compileSooner();
if (process.argv.includes("--help")) console.error(script.cachedDataRejected);
await run();\n`,
  );
  return program;
}

function howCompiled(...flags: readonly string[]) {
  const ran = spawnSync(process.execPath, [...flags, runsPacked(), "analyze", "--help"], { encoding: "utf8" });
  expect(ran).toMatchObject({ status: 0, stdout: expect.stringContaining("<recording>") });
  return { false: "taken", true: "another V8's", undefined: "compiled anew" }[ran.stderr.trim()];
}
