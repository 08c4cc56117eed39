import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { sizeBasin } from "../../../analysis/sizing/size-basin.ts";
import { loadSiteFile } from "../../../daemon/config/load-site-file.ts";
import { reportFileProblems, writeSizingFiles } from "../../../daemon/report/sizing-report-files.ts";

const siteFile = resolve(import.meta.dirname, "../../../deploy/sites/us-round-basin.yaml");
const loaded = loadSiteFile(siteFile);
if (!loaded.ok) throw new Error("the sample site file does not hold");
const request = { site: loaded.siteFile.site, logged: null, hand: null };
const answer = sizeBasin(request);
const madeAt = new Date("2026-03-04T17:00:00Z");

let folder: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), "undercroft-report-"));
});
afterEach(() => rmSync(folder, { recursive: true }));

describe("the files of a sizing", () => {
  it("are refused, before anything is read, where one would overwrite another or an input", () => {
    const recording = join(folder, "week.csv");
    writeFileSync(recording, "");
    const problems = (options: Parameters<typeof reportFileProblems>[0]) =>
      reportFileProblems(options, { recording, site: siteFile });
    expect(problems({ html: recording })).toEqual([
      `--html: expected a file of its own for the report, found one that overwrites the recording: ${recording}`,
    ]);
    const [json, other] = [join(folder, "a"), join(folder, ".", "a")];
    expect(problems({ json, html: other })).toEqual([
      `--html: expected a file of its own, found that of --json: ${other}`,
    ]);
    expect(problems({ browser: "chromium" })).toEqual(["--browser: expected --pdf beside it, found none"]);
    expect(problems({ pdf: join(folder, "a.pdf"), browser: "/no/such" })).toEqual([
      expect.stringMatching(
        /^--browser: expected Chromium .* found no program "\/no\/such": install Debian's chromium/,
      ),
    ]);
    expect(problems({ json, html: join(folder, "b") })).toEqual([]);
  });

  it("are written whole, the page and the answer alike", async () => {
    const [json, html] = [join(folder, "a.json"), join(folder, "a.html")];
    expect(await writeSizingFiles(request, answer, { json, html }, madeAt)).toBeNull();
    expect(JSON.parse(readFileSync(json, "utf8")).schema).toBe("undercroft-sizing/1");
    expect(readFileSync(html, "utf8")).toMatch(/^<!doctype html>.*<h1>Example house<\/h1>.*<\/html>\n$/s);
  });

  it("say in one line where one cannot be, and leave nothing behind", async () => {
    expect(await writeSizingFiles(request, answer, { html: folder }, madeAt)).toBe(
      `--html: expected a file that can be written, found a folder: ${folder}`,
    );
    const pdf = join(folder, "a.pdf");
    expect(await writeSizingFiles(request, answer, { pdf, browser: "/bin/false" }, madeAt)).toBe(
      "--pdf: expected /bin/false to print, found that it could not: status 1; use --html and print",
    );
  });
});
