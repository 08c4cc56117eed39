// The sizing report printed by a real Chromium: one to three pages of the paper that is used in the place.

import { execFileSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { chromium } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";

const root = join(import.meta.dirname, "../..");
let folder: string;
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), "undercroft-pdf-"));
});
afterAll(() => rmSync(folder, { recursive: true }));

function size(...options: string[]): void {
  execFileSync(process.execPath, [join(root, "daemon/undercroft.js"), "size", ...options], { cwd: folder });
}

/** Pages and their size in points, as the PDF's own objects say. */
function pagesOf(file: string): { count: number; width: number; height: number } {
  const pdf = readFileSync(file, "latin1");
  const [, , width = "", height = ""] = /\/MediaBox \[(\S+) \S+ (\S+) (\S+)\]/.exec(pdf) ?? [];
  return { count: pdf.match(/\/Type ?\/Page\b/g)?.length ?? 0, width: Number(width), height: Number(height) };
}

describe("the sizing report as PDF", () => {
  it("is one to three pages of letter paper after a hand test in US units", () => {
    const rise = ["--rise", "8 in in 92 s"];
    size("--site", join(root, "deploy/sites/us-round-basin.yaml"), ...rise, ...rise, ...rise, "--pdf", "us.pdf");
    const { count, width, height } = pagesOf(join(folder, "us.pdf"));
    expect(count).toBeGreaterThanOrEqual(1);
    expect(count).toBeLessThanOrEqual(3);
    expect([width, height].map(Math.round)).toEqual([612, 792]);
  });

  it("is one to three pages of A4 in metric units", () => {
    const rise = ["--rise", "20 cm in 92 s"];
    size("--site", join(root, "deploy/sites/metric-mqtt.yaml"), ...rise, ...rise, "--pdf", "metric.pdf");
    const { count, width, height } = pagesOf(join(folder, "metric.pdf"));
    expect(count).toBeGreaterThanOrEqual(1);
    expect(count).toBeLessThanOrEqual(3);
    expect([width, height].map(Math.round)).toEqual([595, 842]);
  });

  it("is a page that asks nothing of a network, and fits its width", async () => {
    size("--site", join(root, "deploy/sites/us-round-basin.yaml"), "--rise", "8 in in 92 s", "--html", "a.html");
    const browser = await chromium.launch({
      executablePath: "/usr/bin/chromium",
      args: ["--headless", "--no-sandbox", "--disable-gpu", "--disable-background-networking"],
    });
    const page = await browser.newPage({ viewport: { width: 816, height: 1056 } });
    const asked: string[] = [];
    const errors: string[] = [];
    page.on("request", (request) => asked.push(request.url()));
    page.on("console", (message) => errors.push(message.text()));
    const url = pathToFileURL(join(folder, "a.html")).href;
    await page.goto(url);
    expect(await page.getByRole("heading", { level: 1 }).textContent()).toBe("Example house");
    expect(await page.getByRole("img", { name: /^Head against flow: the pump moves/ }).count()).toBe(1);
    expect(await page.evaluate(() => document.documentElement.scrollWidth - innerWidth)).toBeLessThanOrEqual(0);
    expect(asked).toEqual([url]);
    expect(errors).toEqual([]);
    await browser.close();
  });
});
