import { execFileSync } from "node:child_process";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { type Browser, chromium } from "playwright-core";
import { afterAll, beforeAll, expect, it } from "vitest";
import { parseSiteFile } from "../../daemon/config/parse-site-file.ts";
import { type Daemon, runDaemon } from "../../daemon/run-daemon.ts";

// The page in Debian's Chromium, of a board that has not read anything yet.

let browser: Browser;
let daemon: Daemon;
const folder = mkdtempSync(join(tmpdir(), "undercroft-first-day-"));

beforeAll(async () => {
  execFileSync(process.execPath, [join(import.meta.dirname, "../../dashboard/build.ts"), "--if-stale"]);
  const site = "basin: { shape: round, diameter: 18 in }\nserver: { port: 0 }\n";
  const parsed = parseSiteFile(site, join(folder, "site.yaml"), []);
  if (!parsed.ok) throw new Error(parsed.problems.map(({ text }) => text).join("\n"));
  daemon = await runDaemon(parsed.siteFile, { log() {} });
  browser = await chromium.launch({
    executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium",
    args: ["--headless", "--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking"],
  });
});
afterAll(async () => {
  await browser?.close();
  await daemon?.stop();
  rmSync(folder, { recursive: true });
});

it("before the first reading says so in every view, draws no empty charts, and calls nothing well", async () => {
  const page = await browser.newPage({ viewport: { width: 390, height: 844 } });
  await page.goto(daemon.url);
  await page.getByRole("heading", { name: "No reading yet" }).waitFor();
  await page.getByText("None known: no reading has come yet.").waitFor();
  await page.goto(`${daemon.url}#record`);
  await page.getByText("No reading has been recorded yet.").waitFor();
  expect(await page.locator("canvas").count()).toBe(0);
  await page.goto(`${daemon.url}#cycles`);
  await page.getByText("No cycle yet.").waitFor();
  expect(await page.getByRole("heading", { level: 1 }).textContent()).toMatch(/^Cycles\s*$/);
});
