import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, describe, expect, it } from "vitest";
import { loadSiteFile } from "../../../daemon/config/load-site-file.ts";
import { contractSite } from "./contract-site.ts";

const folder = mkdtempSync(join(tmpdir(), "undercroft-config-"));
afterAll(() => rmSync(folder, { recursive: true }));

describe("loadSiteFile", () => {
  it("reads a file, and keeps the readings beside it", () => {
    const loaded = loadSiteFile(written("house.yaml", contractSite));
    expect(loaded).toMatchObject({
      ok: true,
      siteFile: { site: { name: "Example house" }, store: { path: join(folder, "house.sqlite") }, baseFolder: folder },
    });
  });

  it("takes a file with a byte order mark", () => {
    expect(loadSiteFile(written("bom.yaml", `\uFEFF${contractSite}`)).ok).toBe(true);
  });

  it("takes Windows line ends, and still counts lines", () => {
    const problems = problemsOf(written("crlf.yaml", "basin:\r\n  shape: round\r\n  diameter: 18\r\n"));
    expect(problems).toEqual([expect.stringContaining("crlf.yaml:3: basin.diameter")]);
  });

  it("says that a file is not there", () => {
    expect(problemsOf(join(folder, "none.yaml"))).toEqual([expect.stringMatching(/none\.yaml: .*found no such file$/)]);
  });

  it("says that a folder is no file", () => {
    expect(problemsOf(folder)).toEqual([expect.stringMatching(/found a folder$/)]);
  });

  it("turns away a recording given by mistake, unread", () => {
    expect(problemsOf(written("week.csv", "1,2\n".repeat(400_000)))).toEqual([
      expect.stringMatching(/found a file of 1\.6 MB$/),
    ]);
  });

  it("turns away a file that is not text", () => {
    expect(problemsOf(written("week.gz", Buffer.from([0x1f, 0x8b, 0xff, 0xfe])))).toEqual([
      expect.stringMatching(/found a file that is not text in UTF-8$/),
    ]);
  });
});

function written(name: string, content: string | Uint8Array): string {
  const path = join(folder, name);
  writeFileSync(path, content);
  return path;
}

function problemsOf(path: string): string[] {
  const loaded = loadSiteFile(path);
  return loaded.ok ? [] : loaded.problems.map(({ text }) => text);
}
