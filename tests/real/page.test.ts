// The page in a real Chromium before the real daemon, which plays its demo; and before a month of invented data.

import { type ChildProcess, spawn } from "node:child_process";
import { once } from "node:events";
import { join } from "node:path";
import { createInterface } from "node:readline";
import { type Browser, chromium, type Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { type MockApi, startMockApi } from "../dashboard/mock-api.ts";

const root = join(import.meta.dirname, "../..");
const views = ["Now", "Record", "Cycles", "Findings", "Sizing"];
const sizes = [
  { name: "phone", width: 390, height: 844 },
  { name: "desktop", width: 1440, height: 900 },
];

let browser: Browser;
let demo: ChildProcess;
let address: string;

beforeAll(async () => {
  const build = spawn(process.execPath, ["dashboard/build.ts", "--if-stale"], { cwd: root, stdio: "inherit" });
  expect((await once(build, "exit"))[0]).toBe(0);
  demo = spawn(process.execPath, ["daemon/undercroft.js", "demo"], { cwd: root, stdio: ["ignore", "pipe", "inherit"] });
  address = await printedAddress(demo);
  browser = await chromium.launch({
    executablePath: "/usr/bin/chromium",
    args: [
      "--headless",
      "--no-sandbox",
      "--disable-gpu",
      "--disable-quic",
      "--no-first-run",
      "--disable-background-networking",
      "--disable-component-update",
      "--disable-sync",
    ],
  });
});

afterAll(async () => {
  await browser?.close();
  if (demo && demo.exitCode === null) {
    demo.kill("SIGTERM");
    await once(demo, "exit");
  }
});

async function printedAddress(process: ChildProcess): Promise<string> {
  if (!process.stdout) throw new Error("the demo has no output");
  for await (const line of createInterface({ input: process.stdout })) {
    const found = /http:\/\/[\d.]+:\d+\//.exec(line);
    if (found) return found[0];
  }
  throw new Error("the demo printed no address");
}

/** A page that gathers what the console complains about. */
async function openPage(
  url: string,
  size: { width: number; height: number },
): Promise<{ page: Page; errors: string[] }> {
  const context = await browser.newContext({ viewport: size, reducedMotion: "reduce" });
  const page = await context.newPage();
  const errors: string[] = [];
  page.on("console", (message) => {
    if (["error", "warning"].includes(message.type())) errors.push(message.text());
  });
  page.on("pageerror", (error) => errors.push(error.message));
  await page.goto(url);
  return { page, errors };
}

describe("the page of the demo", () => {
  it("shows the first cycle within 10 s of opening, and the sentence at once", async () => {
    const { page } = await openPage(`${address}#cycles`, { width: 1440, height: 900 });
    await page.getByRole("row").nth(1).waitFor();
    await page.getByRole("link", { name: "Now" }).click();
    expect(await page.getByRole("heading", { level: 1 }).textContent()).toMatch(/dry|water|pump|reading/i);
    await page.context().close();
  });

  it.each(sizes)("fits a $name and says on every view that it is a simulation", async (size) => {
    const { page, errors } = await openPage(address, size);
    for (const view of views) {
      await page.getByRole("link", { name: view }).first().click();
      await page.getByText("Simulation — not a real basin").waitFor();
      await page.locator("main > div").waitFor();
      const overflow = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
      expect(overflow, `${view} is wider than the screen`).toBeLessThanOrEqual(0);
    }
    expect(errors).toEqual([]);
    await page.context().close();
  });

  it("explains every kind of finding, folded away until it is asked for", async () => {
    const { page, errors } = await openPage(`${address}#findings`, { width: 390, height: 844 });
    const explained = page.getByRole("region", { name: "Every kind explained" }).locator("details");
    await explained.first().waitFor();
    expect(await explained.count()).toBe(11);
    await explained.first().locator("summary").click();
    await explained.first().getByRole("heading", { name: "What not to do alone" }).waitFor();
    expect(await explained.first().getByRole("heading").count()).toBe(5);
    const overflow = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
    expect(overflow).toBeLessThanOrEqual(0);
    expect(errors).toEqual([]);
    await page.context().close();
  });

  it("turns every figure to the other units at one click, and remembers", async () => {
    const { page } = await openPage(address, { width: 1440, height: 900 });
    const level = page.locator(".figures > div").first();
    await level.getByText(/\bin\b/).waitFor();
    await page.getByRole("button", { name: "Metric" }).click();
    expect(await level.textContent()).toMatch(/\d cm/);
    expect(await page.locator("svg.basin").innerHTML()).not.toMatch(/\d in\b/);
    await page.reload();
    await level.getByText(/\bcm\b/).waitFor();
    await page.context().close();
  });

  it("sets the speed of time", async () => {
    const { page } = await openPage(address, { width: 1440, height: 900 });
    await page.getByRole("button", { name: "600×", exact: true }).click();
    await page.locator("output", { hasText: "600×" }).waitFor();
    const answer = await page.request.get(`${address}api/state`);
    expect((await answer.json()).speed).toBe(600);
    await page.getByRole("button", { name: "60×", exact: true }).click();
    await page.context().close();
  });

  it("keeps the speed control in its place at the fastest on a phone", async () => {
    const { page } = await openPage(address, { width: 390, height: 844 });
    const height = () => page.locator(".band").evaluate((band) => band.getBoundingClientRect().height);
    const output = page.locator("output", { hasText: "60×" });
    await output.waitFor();
    const before = await height();
    await output.evaluate((element) => {
      element.textContent = "10000×";
    });
    expect(await height()).toBe(before);
    expect(before).toBeLessThan(100);
    await page.context().close();
  });

  it("marks the one stretch that was chosen, and All while the record grows", async () => {
    const { page } = await openPage(`${address}#record`, { width: 1440, height: 900 });
    const pressed = () => page.locator(".span-tools fieldset").first().locator("[aria-pressed=true]").allTextContents();
    await page.locator(".plot-level canvas").waitFor();
    expect(await pressed()).toEqual(["6 h"]);
    await page.getByRole("button", { name: "All", exact: true }).click();
    const words = async () => (await page.locator(".span-words").textContent())?.replace(/ · loading$/, "");
    const before = await words();
    await page.getByRole("button", { name: "600×", exact: true }).click();
    await expect.poll(words).not.toBe(before);
    expect(await pressed()).toEqual(["All"]);
    await page.getByRole("button", { name: "60×", exact: true }).click();
    await page.getByRole("button", { name: "Earlier" }).click();
    expect(await pressed()).toEqual(["All"]);
    await page.getByRole("button", { name: "Show less time" }).click();
    expect(await pressed()).toEqual([]);
    await page.context().close();
  });

  it("shows the margin of the worst ten minutes beside that of now, once the report knows it", async () => {
    const api = await startMockApi({ days: 1 });
    const { page } = await openPage(api.url, { width: 390, height: 844 });
    await page.getByText("worst 10 min so far: 4.2 ×").waitFor();
    await page.context().close();
    await api.close();
  });

  it("is reached by keyboard alone: every control, with a ring around it, and the chart takes keys", async () => {
    const { page } = await openPage(`${address}#record`, { width: 1440, height: 900 });
    await page.locator(".plot-level canvas").waitFor();
    const controls = await page.evaluate(() => {
      const all = [...document.querySelectorAll<HTMLElement>("a[href], button, input, [tabindex='0']")];
      return all.filter((element) => element.offsetParent !== null || element.classList.contains("skip")).length;
    });
    const reached = new Set<string>();
    for (let i = 0; i < controls + 3; i++) {
      await page.keyboard.press("Tab");
      const focus = await page.evaluate(() => {
        const all = [...document.querySelectorAll("a[href], button, input, [tabindex='0']")];
        const element = document.activeElement;
        if (!element || element === document.body) return null;
        return { at: all.indexOf(element), ring: getComputedStyle(element).outlineStyle };
      });
      if (!focus) continue;
      expect(focus.ring).toBe("solid");
      reached.add(String(focus.at));
    }
    expect(reached.size).toBe(controls);

    const words = page.locator(".span-words");
    await page.locator(".plot-level").focus();
    const before = await words.textContent();
    await page.keyboard.press("-");
    await expect.poll(() => words.textContent()).not.toBe(before);
    await page.context().close();
  });

  it("keeps every control 44 px high on a phone", async () => {
    const { page } = await openPage(address, { width: 390, height: 844 });
    await page.locator(".figures").waitFor();
    const small = await page.evaluate(() =>
      [...document.querySelectorAll<HTMLElement>("button:not(.skip), input, nav a")]
        .filter((element) => element.getBoundingClientRect().height < 44)
        .map((element) => element.textContent),
    );
    expect(small).toEqual([]);
    await page.context().close();
  });

  it("comes to less than 100 kB with the chart, cold, beside the record, which grows with the time that the house has run", async () => {
    const { page } = await openPage("about:blank", { width: 1440, height: 900 });
    const network = await page.context().newCDPSession(page);
    let bytes = 0;
    await network.send("Network.enable");
    const ofRecord = new Set<string>();
    network.on("Network.requestWillBeSent", ({ requestId, request }) => {
      if (request.url.includes("/api/")) ofRecord.add(requestId);
    });
    network.on("Network.loadingFinished", ({ requestId, encodedDataLength }) => {
      if (!ofRecord.has(requestId)) bytes += encodedDataLength;
    });
    await page.goto(`${address}#record`);
    await page.locator(".plot-inflow canvas").waitFor();
    await page.waitForTimeout(500);
    expect(bytes).toBeGreaterThan(30_000);
    expect(bytes).toBeLessThan(100_000);
    await page.context().close();
  });
});

describe("the page of a month at 1 Hz", () => {
  let api: MockApi;
  beforeAll(async () => {
    api = await startMockApi({ days: 30 });
  });
  afterAll(() => api?.close());

  it("zooms from a quarter of an hour to the month and back, asking for no more than twice its columns", async () => {
    const { page, errors } = await openPage(`${api.url}#record`, { width: 1440, height: 900 });
    const asked: number[] = [];
    page.on("request", (request) => {
      const points = new URL(request.url()).searchParams.get("points");
      if (points) asked.push(Number(points));
    });
    await page.locator(".plot-level canvas").waitFor();
    await page.getByRole("button", { name: "All" }).click();
    const words = page.locator(".span-words");
    await expect.poll(() => words.textContent()).toMatch(/3[01] d/);

    const plot = await page.locator(".plot-level .u-over").boundingBox();
    if (!plot) throw new Error("the plot has no place on the page");
    await page.mouse.move(plot.x + plot.width * 0.4, plot.y + 60);
    for (let i = 0; i < 24; i++) await page.mouse.wheel(0, -200);
    await expect.poll(() => words.textContent()).toMatch(/\(\d+ min/);
    for (let i = 0; i < 24; i++) await page.mouse.wheel(0, 200);
    await expect.poll(() => words.textContent()).toMatch(/3[01] d/);

    await page.mouse.down();
    await page.mouse.move(plot.x + plot.width * 0.5, plot.y + 60, { steps: 4 });
    await page.mouse.up();
    await expect.poll(() => words.textContent()).toMatch(/\(3 d/);

    expect(Math.max(...asked)).toBeLessThanOrEqual(2 * plot.width);
    expect(errors).toEqual([]);
    await page.context().close();
  });

  it.each(sizes)("shows on a $name what makes a cycle's inflow uncertain, and closes it by a key", async (size) => {
    const { page, errors } = await openPage(`${api.url}#cycles`, size);
    await page
      .getByRole("button", { name: /inflow: how sure/ })
      .first()
      .click();
    const dialog = page.getByRole("dialog", { name: /^How sure: the cycle of/ });
    await dialog.getByRole("row", { name: /Noise of the level sensor \d/ }).waitFor();
    const box = await dialog.boundingBox();
    expect(box?.width).toBeLessThanOrEqual(size.width - 16);
    await page.keyboard.press("Escape");
    await dialog.waitFor({ state: "detached" });
    expect(errors).toEqual([]);
    await page.context().close();
  });

  it("keeps a few dozen rows of the table in the page, and reaches the oldest cycle", async () => {
    const { page } = await openPage(`${api.url}#cycles`, { width: 1440, height: 900 });
    await page.getByRole("row").nth(1).waitFor();
    const box = page.getByRole("region", { name: "Table of cycles" });
    const title = page.getByRole("heading", { level: 1 });
    await expect
      .poll(
        async () => {
          await box.evaluate((element) => element.scrollTo(0, element.scrollHeight));
          return title.textContent();
        },
        { interval: 30 },
      )
      .not.toMatch(/and more/);
    expect(await page.getByRole("row").count()).toBeLessThan(60);
    await page.context().close();
  });
});

describe("the page of a daemon that goes away", () => {
  it("says since when it hears nothing, and comes back by itself", async () => {
    const first = await startMockApi({ days: 1 });
    const { page } = await openPage(first.url, { width: 1440, height: 900 });
    await page.locator(".figures").waitFor();
    await first.close();
    await page.getByText(/Connection lost since \d\d:\d\d:\d\d/).waitFor();
    expect(await page.getByRole("heading", { level: 1 }).textContent()).toMatch(/^Not connected/);

    const second = await startMockApi({ days: 1, port: Number(new URL(first.url).port) });
    await page.getByText(/Connection lost/).waitFor({ state: "detached" });
    expect(await page.getByRole("heading", { level: 1 }).textContent()).not.toMatch(/^Not connected/);
    await page.context().close();
    await second.close();
  });

  it.each([
    { view: "cycles", before: "No cycle yet.", answer: { cycles: [] }, rows: "tbody tr" },
    { view: "findings", before: "None in the record.", answer: { findings: [] }, rows: ".finding-cards > *" },
  ])("shows the $view that were missed while the connection was lost", async ({ view, before, answer, rows }) => {
    const first = await startMockApi({ days: 1 });
    const { page } = await openPage("about:blank", { width: 1440, height: 900 });
    await page.route(`**/api/${view}?*`, (route) => route.fulfill({ json: answer }));
    await page.goto(`${first.url}#${view}`);
    await page.getByText(before).waitFor();
    await first.close();
    await page.getByText(/Connection lost/).waitFor();
    await page.unroute(`**/api/${view}?*`);
    const second = await startMockApi({ days: 1, port: Number(new URL(first.url).port) });
    await page.locator(rows).first().waitFor();
    await page.context().close();
    await second.close();
  });

  it.each(["cycles", "findings"])("asks for the %s again when the first request fails", async (view) => {
    const api = await startMockApi({ days: 1 });
    const { page } = await openPage("about:blank", { width: 1440, height: 900 });
    let asked = 0;
    await page.route(`**/api/${view}?*`, (route) => (asked++ < 2 ? route.abort() : route.continue()));
    await page.goto(`${api.url}#${view}`);
    await page.getByRole("alert").first().waitFor();
    await page.getByRole("alert").first().waitFor({ state: "detached" });
    expect(asked).toBeGreaterThan(2);
    await page.context().close();
    await api.close();
  });
});
