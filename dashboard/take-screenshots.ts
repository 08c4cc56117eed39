// Takes the README's pictures from the demo: a calm hour, the storm, and the record afterwards; of the alarms of a house,
// and of the page of all basins with boards, of our invention. Needs Chromium.
// node dashboard/take-screenshots.ts [folder] [--invented]; with --invented all but those of the demo

import { execFileSync, spawn } from "node:child_process";
import { mkdirSync } from "node:fs";
import { join, resolve } from "node:path";
import { createInterface } from "node:readline";
import type { Readable } from "node:stream";
import { parseArgs } from "node:util";
import { chromium } from "playwright-core";
import type { LiveState } from "../daemon/server/api-types.ts";

const root = join(import.meta.dirname, "..");
const { values, positionals } = parseArgs({ options: { invented: { type: "boolean" } }, allowPositionals: true });
const folder = resolve(positionals[0] ?? join(import.meta.dirname, "screenshots"));
const phone = { width: 390, height: 844 };
const desktop = { width: 1440, height: 900 };

// A page that is not built, or an older one, would be pictured as it is.
execFileSync(process.execPath, ["dashboard/build.ts", "--if-stale"], { cwd: root, stdio: "inherit" });

const browser = await chromium.launch({
  executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium",
  args: ["--headless", "--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking"],
});
mkdirSync(folder, { recursive: true });

let address = "";

try {
  await picturesOfAllBasins();
  await picturesOfAlarms();
  if (values.invented !== true) await picturesOfTheDemo();
} finally {
  await browser.close();
}

async function picturesOfAllBasins(): Promise<void> {
  const { inventRound } = await import("../tests/daemon/central/invented-round.ts");
  const round = await inventRound(240);
  address = round.url;
  await picture("all-basins", "", desktop, "light");
  await picture("all-basins-phone", "", phone, "dark");
  await round.stop();
}

async function picturesOfAlarms(): Promise<void> {
  const { people, start_s, startAlarmedHouse } = await import("../tests/dashboard/alarmed-house.ts");
  const { finding } = await import("../tests/analysis/alarms/alarm-input.ts");
  const heartbeat = { host: "beat.example.org", every_s: 300, answered_s: start_s - 60, problem: null };
  const house = await startAlarmedHouse(people, heartbeat);
  for (const contact of ["Ann", "Neighbour"]) house.at.service.test(contact, null);
  house.at.service.shelve("service-due", start_s + 3 * 86_400, "Ann", "the plumber comes on Friday");
  const findings = [finding("power-lost", start_s - 200), finding("high-water", start_s + 500)];
  await house.see(start_s + 600, findings, { level_m: 0.53 });
  house.at.service.acknowledge("supply-lost", "Neighbour");
  await house.at.clock.turnTo(start_s + 700);
  address = house.url;
  await picture("alarms", "alarms", desktop, "light");
  await picture("alarms-phone", "alarms", phone, "dark");
  await house.close();
}

async function picturesOfTheDemo(): Promise<void> {
  const demo = spawn(process.execPath, ["daemon/undercroft.js", "demo"], {
    cwd: root,
    stdio: ["ignore", "pipe", "inherit"],
  });
  try {
    address = await printedAddress(demo.stdout);
    await picturesAlongTheWeek();
  } finally {
    demo.kill("SIGTERM");
  }
}

async function picturesAlongTheWeek(): Promise<void> {
  await playUntil(3000, hoursIn(6));
  await playUntil(20, ({ situation }) => (situation.level_m ?? 0) > 0.29 && situation.pumpRunning === false);
  await picture("now-calm", "now", desktop, "light");
  await picture("now-calm-phone", "now", phone, "dark");
  await picture("cycles", "cycles", phone, "light");

  await playUntil(3000, isOpen("inflow-exceeds-pump"));
  await playUntil(120, ({ situation }) => (situation.level_m ?? 0) > 0.57 && situation.pumpRunning === true);
  await picture("now-storm", "now", phone, "light");
  await picture("now-storm-dark", "now", desktop, "dark");

  await playUntil(3000, hoursIn(30));
  await picture("record", "record", desktop, "light", "24 h");
  await picture("record-phone", "record", phone, "dark", "24 h");
  await picture("findings", "findings", desktop, "light");
  await picture("sizing", "sizing", desktop, "light", "4 Pump");
  await picture("sizing-phone", "sizing", phone, "dark", "4 Pump");
  await picture("sizing-result", "sizing", desktop, "light", "6 Result");
  await pictureOfReport("sizing-report");
}

/** Plays at a speed until the state is as wanted, then lets time nearly stand. */
async function playUntil(speed: number, wanted: (state: LiveState) => boolean): Promise<void> {
  await setSpeed(speed);
  for (;;) {
    const answer = await fetch(`${address}api/state`);
    const state: LiveState = await answer.json();
    if (wanted(state)) break;
    await new Promise((done) => setTimeout(done, 25));
  }
  await setSpeed(1);
}

async function setSpeed(speed: number): Promise<void> {
  const body = JSON.stringify({ speed });
  await fetch(`${address}api/speed`, { method: "PUT", headers: { "content-type": "application/json" }, body });
}

function hoursIn(hours: number): (state: LiveState) => boolean {
  return ({ span }) => span !== null && span.to_s - span.from_s > hours * 3600;
}

function isOpen(kind: string): (state: LiveState) => boolean {
  return ({ situation }) => situation.openFindings.some((finding) => finding.kind === kind);
}

async function picture(
  name: string,
  view: string,
  viewport: { width: number; height: number },
  colorScheme: "light" | "dark",
  preset?: string,
): Promise<void> {
  const deviceScaleFactor = viewport === phone ? 2 : 1;
  const context = await browser.newContext({ viewport, colorScheme, deviceScaleFactor });
  const page = await context.newPage();
  await page.goto(`${address}#${view}`);
  if (preset) await page.getByRole("button", { name: preset, exact: true }).click();
  await page.waitForTimeout(1500);
  await page.screenshot({ path: join(folder, `${name}.png`) });
  await context.close();
  console.log(join(folder, `${name}.png`));
}

/** The first page of the report, as it is printed. */
async function pictureOfReport(name: string): Promise<void> {
  const context = await browser.newContext({ viewport: { width: 816, height: 1056 } });
  const page = await context.newPage();
  await page.goto(`${address}#sizing`);
  await page.getByRole("button", { name: "6 Result", exact: true }).click();
  await page.locator(".paper").waitFor({ state: "attached" });
  await page.emulateMedia({ media: "print" });
  await page.addStyleTag({ content: "body { padding: 10mm 0 }" }); // a printer leaves it free
  await page.waitForTimeout(500);
  await page.screenshot({ path: join(folder, `${name}.png`) });
  await context.close();
  console.log(join(folder, `${name}.png`));
}

async function printedAddress(input: Readable): Promise<string> {
  for await (const line of createInterface({ input })) {
    const found = /http:\/\/[\d.]+:\d+\//.exec(line);
    if (found) return found[0];
  }
  throw new Error("the demo printed no address");
}
