// How long the page holds up a reader who opens a month at 1 Hz and zooms through it: longest task and slowest frame.
// node tests/bench/page-month.ts

import { chromium } from "playwright-core";
import { startMockApi } from "../dashboard/mock-api.ts";

const api = await startMockApi({ days: 30 });
const browser = await chromium.launch({
  executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium",
  args: ["--headless", "--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking"],
});
const page = await browser.newPage({ viewport: { width: 1440, height: 900 } });
await page.addInitScript(() => {
  const tasks: number[] = [];
  const frames: number[] = [];
  Object.assign(globalThis, { tasks, frames });
  new PerformanceObserver((list) => tasks.push(...list.getEntries().map((entry) => entry.duration))).observe({
    entryTypes: ["longtask"],
  });
  let before = performance.now();
  const frame = (now: number) => {
    frames.push(now - before);
    before = now;
    requestAnimationFrame(frame);
  };
  requestAnimationFrame(frame);
});

const opened_ms = performance.now();
await page.goto(`${api.url}#record`);
await page.locator(".plot-level canvas").waitFor();
console.log(`first chart: ${Math.round(performance.now() - opened_ms)} ms`);
await page.getByRole("button", { name: "All" }).click();
await page.waitForTimeout(1500);
const plot = await page.locator(".plot-level .u-over").boundingBox();
if (!plot) throw new Error("the plot has no place on the page");
await page.mouse.move(plot.x + plot.width * 0.4, plot.y + 60);
for (const by of [-200, 200]) {
  for (let i = 0; i < 24; i++) {
    await page.mouse.wheel(0, by);
    await page.waitForTimeout(25);
  }
  await page.waitForTimeout(800);
}
const seen = await page.evaluate(() => {
  const { tasks, frames } = globalThis as typeof globalThis & { tasks: number[]; frames: number[] };
  return { tasks, frames: frames.toSorted((a, b) => b - a) };
});
console.log(`tasks over 50 ms: ${seen.tasks.length}, longest ${Math.round(Math.max(0, ...seen.tasks))} ms`);
console.log(`slowest frames: ${seen.frames.slice(0, 3).map(Math.round).join(", ")} ms of ${seen.frames.length}`);
await browser.close();
await api.close();
