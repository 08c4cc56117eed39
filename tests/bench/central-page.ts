// What the page of all basins costs the browser, with as many boards as wanted, each of which reads every 5 s and one of
// which gets into trouble every second. By hand: node tests/bench/central-page.ts [boards]

import { chromium, type Page } from "playwright-core";
import { inventBasins, inventRound } from "../daemon/central/invented-round.ts";
import { openFinding } from "../real/central-boards.ts";
import { numberGiven } from "./number-given.ts";

const boards = numberGiven(0, "BOARDS", 2000);
const measured_s = 20;

const round = await inventRound(boards);
const names = inventBasins(boards, 0).map(({ name }) => name);
const browser = await chromium.launch({
  executablePath: "/usr/bin/chromium",
  args: ["--headless", "--no-sandbox", "--disable-gpu"],
});

for (const [name, viewport] of [
  ["phone", { width: 390, height: 844 }],
  ["desktop", { width: 1440, height: 900 }],
] as const) {
  const page = await (await browser.newContext({ viewport })).newPage();
  const began_ms = performance.now();
  await page.goto(round.url);
  await page.locator(".line").first().waitFor();
  const shown_ms = performance.now() - began_ms;
  console.log(`${name}, ${boards} boards: first lines after ${shown_ms.toFixed(0)} ms, ${await inTheTree(page)}`);
  await live(page, "lines as at first");
  while ((await page.locator(".more").count()) > 0) {
    await page.evaluate("document.querySelector('.more')?.click()");
  }
  console.log(`  all lines drawn: ${await inTheTree(page)}`);
  await live(page, "all lines drawn");
  await page.context().close();
}
await browser.close();
await round.stop();

async function inTheTree(page: Page): Promise<string> {
  const [lines, elements] = [await page.locator(".line").count(), await page.locator("*").count()];
  return `${lines} lines, ${elements} elements`;
}

/** The share of the browser's time that goes into the page while boards speak. */
async function live(page: Page, what: string): Promise<void> {
  const session = await page.context().newCDPSession(page);
  await session.send("Performance.enable");
  const metrics = async () => {
    const { metrics: found } = await session.send("Performance.getMetrics");
    return new Map(found.map(({ name, value }) => [name, value]));
  };
  const before = await metrics();
  for (let tick = 0; tick < measured_s * 5; tick++) {
    for (let n = tick % 25; n < names.length; n += 25) {
      round.say(names[n] ?? "", { level_m: 0.2 + Math.random() / 5, pumpRunning: n % 7 === 0 });
    }
    if (tick % 5 === 0) round.finding(names[(tick * 7) % names.length] ?? "", openFinding("short-cycling", "warning"));
    await new Promise((resolve) => setTimeout(resolve, 200));
  }
  const after = await metrics();
  const share = (name: string) => {
    const spent_s = (after.get(name) ?? 0) - (before.get(name) ?? 0);
    return `${((100 * spent_s) / measured_s).toFixed(1)} %`;
  };
  const heap_mb = (after.get("JSHeapUsedSize") ?? 0) / 1e6;
  console.log(
    `  ${what}: busy ${share("TaskDuration")}, of it script ${share("ScriptDuration")}, layout ${share("LayoutDuration")}; ` +
      `${heap_mb.toFixed(0)} MB`,
  );
}
