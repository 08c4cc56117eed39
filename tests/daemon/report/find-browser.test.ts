import { chmodSync, mkdirSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { findBrowser } from "../../../daemon/report/find-browser.ts";

let folder: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), "undercroft-browser-"));
});
afterEach(() => rmSync(folder, { recursive: true }));

function program(name: string, mode = 0o755): string {
  const path = join(folder, name);
  writeFileSync(path, "#!/bin/sh\n");
  chmodSync(path, mode);
  return path;
}

describe("findBrowser", () => {
  it("takes the first of the usual names that is a program on the path", () => {
    const browser = program("chromium-browser");
    program("chromium", 0o644); // no program
    mkdirSync(join(folder, "google-chrome")); // nor this
    expect(findBrowser(undefined, `/nowhere:${folder}`)).toEqual({ ok: true, program: browser });
  });

  it("takes the one that is named, by name or by path", () => {
    const browser = program("my-browser");
    expect(findBrowser("my-browser", folder)).toEqual({ ok: true, program: browser });
    expect(findBrowser(browser, "/nowhere")).toEqual({ ok: true, program: browser });
  });

  it("says what was looked for and what to do where there is none", () => {
    expect(findBrowser(undefined, folder)).toEqual({
      ok: false,
      problem:
        "expected Chromium to print with, found none of chromium, chromium-browser, google-chrome, google-chrome-stable: install Debian's chromium, or use --html and print",
    });
    expect(findBrowser("/opt/other", folder)).toMatchObject({
      problem: expect.stringContaining('no program "/opt/other"'),
    });
  });
});
