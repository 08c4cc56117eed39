// The sizing worksheet in a real Chromium, before a month of invented data.

import { spawn } from "node:child_process";
import { once } from "node:events";
import { join } from "node:path";
import { type Browser, chromium, type Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { type MockApi, startMockApi } from "../dashboard/mock-api.ts";
import { sizedSite } from "../dashboard/mock-sizing.ts";

const root = join(import.meta.dirname, "../..");
const steps = ["Measured", "Basin", "Pipe", "Pump", "Backup", "Result"];
const phone = { width: 390, height: 844 };
const desktop = { width: 1440, height: 900 };

let browser: Browser;
let api: MockApi;

beforeAll(async () => {
  const build = spawn(process.execPath, ["dashboard/build.ts", "--if-stale"], { cwd: root, stdio: "inherit" });
  expect((await once(build, "exit"))[0]).toBe(0);
  api = await startMockApi({ days: 12, site: sizedSite });
  browser = await chromium.launch({
    executablePath: "/usr/bin/chromium",
    args: ["--headless", "--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking"],
  });
});
afterAll(async () => {
  await browser?.close();
  await api?.close();
});

interface Opened {
  readonly page: Page;
  readonly errors: string[];
  readonly asked: { readonly method: string; readonly url: string }[];
}

async function open(view = "sizing", viewport = desktop): Promise<Opened> {
  const context = await browser.newContext({ viewport, reducedMotion: "reduce" });
  const page = await context.newPage();
  const errors: string[] = [];
  const asked: { method: string; url: string }[] = [];
  page.on("console", (message) => {
    if (["error", "warning"].includes(message.type())) errors.push(message.text());
  });
  page.on("pageerror", (error) => errors.push(error.message));
  page.on("request", (request) => asked.push({ method: request.method(), url: request.url() }));
  await page.goto(`${api.url}#${view}`);
  return { page, errors, asked };
}

const goTo = (page: Page, step: string) =>
  page.getByRole("navigation", { name: "Steps" }).getByRole("button", { name: step }).click();
const field = (page: Page, name: string | RegExp) => page.getByRole("textbox", { name });
const overflow = (page: Page) => page.evaluate(() => document.documentElement.scrollWidth - innerWidth);

describe("the sizing worksheet", () => {
  it("does not say that no rain was logged before it is known", async () => {
    const { page } = await open("now");
    const { promise: known, resolve: tell } = Promise.withResolvers<void>();
    await page.route("**/api/rain", async (route) => {
      await known;
      await route.continue();
    });
    await page.goto(`${api.url}#sizing`);
    await expect.poll(() => page.getByText("The rain on record is still being read").count()).toBe(1);
    expect(await page.getByText("None was logged here").count()).toBe(0);
    tell();
    await expect.poll(() => page.getByText("None was logged here").count()).toBe(1);
    expect(await page.getByText("The rain on record is still being read").count()).toBe(0);
    await page.context().close();
  });

  it("is fetched only when it is opened", async () => {
    const { page, asked } = await open("now");
    await page.locator(".figures").waitFor();
    expect(asked.filter(({ url }) => /worksheet/.test(url))).toEqual([]);
    await page.getByRole("link", { name: "Sizing" }).click();
    await page.getByRole("heading", { name: "1. What came in" }).waitFor();
    expect(asked.some(({ url }) => /worksheet/.test(url))).toBe(true);
    await page.context().close();
  });

  it.each([
    { name: "phone", viewport: phone },
    { name: "desktop", viewport: desktop },
  ])(
    "leads through its steps on a $name, no wider than the screen, every control large enough",
    async ({ viewport }) => {
      const { page, errors } = await open("sizing", viewport);
      for (const step of steps) {
        await goTo(page, step);
        await page.getByRole("heading", { level: 2, name: /^\d\. / }).waitFor();
        expect(await overflow(page), step).toBeLessThanOrEqual(0);
        const small = await page.evaluate(() =>
          [...document.querySelectorAll<HTMLElement>(".worksheet :is(button, input, select, summary)")]
            .filter((element) => element.offsetParent !== null && element.getBoundingClientRect().height < 44)
            .map((element) => element.outerHTML),
        );
        expect(small, step).toEqual([]);
      }
      expect(errors).toEqual([]);
      await page.context().close();
    },
  );

  it("names each field with its unit, and tells where to find it", async () => {
    const { page } = await open();
    for (const step of steps) {
      await goTo(page, step);
      const nameless = await page.evaluate(() =>
        [...document.querySelectorAll<HTMLInputElement>(".step :is(input, select)")]
          .filter((element) => {
            const told = document.getElementById(element.getAttribute("aria-describedby") ?? "")?.textContent ?? "";
            return (element.ariaLabel ?? element.labels?.[0]?.textContent ?? "") === "" || told.length < 10;
          })
          .map((element) => element.outerHTML),
      );
      expect(nameless, step).toEqual([]);
    }
    await goTo(page, "Basin");
    expect(await field(page, "Start level, inches").inputValue()).toBe("14.17"); // 0.36 m
    await page.getByRole("button", { name: "Metric" }).click();
    expect(await field(page, "Start level, centimetres").inputValue()).toBe("36");
    await page.context().close();
  });

  it("tries a change out in the page alone: nothing is sent, and the site file is a button away", async () => {
    const { page, asked } = await open();
    await goTo(page, "Pump");
    const verdict = page.getByRole("complementary").getByRole("status");
    await verdict.getByText("required").waitFor();
    const before = await verdict.textContent();
    for (const [point, flow] of [40, 60, 80].entries()) {
      await field(page, `Flow, point ${4 - point}, gallons a minute`).fill(String(120 - flow));
    }
    await page.getByText("Tried out:").waitFor();
    expect(await page.locator(".pump-line").count()).toBe(2); // the site file's stays beside it
    await page.getByRole("button", { name: "Back to the site file" }).click();
    expect(await field(page, "Flow, point 4, gallons a minute").inputValue()).toBe("41.2"); // 2.6 L/s
    await expect.poll(() => verdict.textContent()).toBe(before);
    expect(asked.filter(({ method }) => method !== "GET")).toEqual([]);
    await page.context().close();
  });

  it("shows neither good nor bad while not enough has been seen, with what is missing, beside every step", async () => {
    const { page } = await open();
    for (const step of steps) {
      await goTo(page, step);
      const box = page.locator(".verdict-box");
      await box.getByText("Not enough has been seen yet to judge the pump").waitFor();
      expect(await box.getAttribute("class"), step).toContain("tone-unknown");
      expect(await box.textContent(), step).toMatch(/by what has been seen so far.*Still missing: .*storms/);
    }
    await page.getByText("By what has been seen so far, ask a supplier for", { exact: true }).waitFor();
    await page.context().close();
  });

  it("says what cannot be, in words that name both figures, and asks for what is missing", async () => {
    const { page } = await open();
    await goTo(page, "Basin");
    await field(page, "Stop level, inches").fill("16");
    await page
      .getByRole("alert")
      .filter({ hasText: "Start level, 14.17 in, must stand above stop level, 16 in." })
      .waitFor();
    await field(page, "Stop level, inches").fill("six");
    await page.getByText("Expected a length with its unit, such as 18 in").waitFor();
    await page.getByText("As before the last entry:").waitFor();
    expect(await field(page, "Stop level, inches").getAttribute("aria-invalid")).toBe("true");
    await field(page, "Stop level, inches").fill("6");

    await goTo(page, "Pipe");
    await field(page, "Highest point of the pipe, feet").fill("30");
    const said = page.getByRole("alert").filter({ hasText: /has no duty point/ });
    expect(await said.textContent()).toMatch(/24\.6 ft.*29\.5 ft|29\.5 ft.*24\.6 ft/); // 7.5 m; 30 ft less 6 in
    await field(page, "Highest point of the pipe, feet").fill("");
    await page.getByText("is drawn here once pipe, pump and stop level are known").waitFor();
    await goTo(page, "Result");
    await page
      .getByRole("region", { name: "Still asked for" })
      .getByText(/discharge|high point|pipe/i)
      .first()
      .waitFor();
    await page.context().close();
  });

  it("makes the hand test with ruler and watch, or with the live sensor", async () => {
    const { page, errors } = await open();
    await page.getByRole("button", { name: "A hand test" }).click();
    for (const repeat of [1, 2, 3]) {
      await field(page, `Rise, repeat ${repeat}, inches`).fill("8");
      await field(page, `Watched for, repeat ${repeat}, seconds`).fill("92");
    }
    // 8 in of an 18 in basin with 50 cm² taken up: 1.07 gal an inch, so 8.5 gal in 92 s, some 5.6 gpm
    await expect.poll(() => page.locator(".outcome").textContent()).toMatch(/^5\.[56]\d+ ± 0\.\d+ gpm come in now\./);
    await page.getByRole("button", { name: "Watch the rise with the live sensor" }).click();
    await page.getByText(/Waiting for the water to come to rest|The water fell/).waitFor();
    expect(errors).toEqual([]);
    await page.context().close();
  });

  it("runs the worst storm again, beside what is tried out, with the mains out", async () => {
    const { page } = await open();
    await goTo(page, "Result");
    await page.getByRole("img", { name: /^Water level through the storm: as it stands reaches/ }).waitFor();
    await goTo(page, "Basin");
    await field(page, "Start level, inches").fill("18");
    await goTo(page, "Result");
    await page.getByRole("row", { name: /^as on this sheet 18\.\d in/ }).waitFor();
    await page.getByRole("button", { name: "4 h", exact: true }).click();
    await expect.poll(() => page.getByRole("row", { name: /^as on this sheet 30\.0 in/ }).count()).toBe(1);
    await page.context().close();
  });

  it("is worked by the keyboard alone, the focus ringed and led to the step's heading", async () => {
    const { page } = await open();
    await page.getByRole("navigation", { name: "Steps" }).getByRole("button", { name: "Pipe" }).focus();
    await page.keyboard.press("Enter");
    expect(await page.evaluate(() => document.activeElement?.id)).toBe("step-title");
    const controls = ".step :is(button, input, select, summary)";
    const count = await page.evaluate(
      (selector) =>
        [...document.querySelectorAll<HTMLButtonElement>(selector)].filter(
          (element) => element.checkVisibility() && !element.disabled,
        ).length,
      controls,
    );
    const reached = new Set<number>();
    for (let i = 0; i < count; i++) {
      await page.keyboard.press("Tab");
      const focus = await page.evaluate((selector) => {
        const element = document.activeElement;
        if (element === null) return null;
        return {
          at: [...document.querySelectorAll(selector)].indexOf(element),
          ring: getComputedStyle(element).outlineStyle,
        };
      }, controls);
      expect(focus?.ring).toBe("solid");
      reached.add(focus?.at ?? -1);
    }
    expect(reached.size).toBe(count);
    expect(reached.has(-1)).toBe(false);
    await page.context().close();
  });

  it("prints the report and nothing else, on one to three pages", async () => {
    const { page } = await open("sizing", phone);
    await goTo(page, "Result");
    await page.getByRole("button", { name: "Read it here" }).click();
    await page.getByRole("heading", { name: "Cautions" }).waitFor();
    expect(await overflow(page)).toBeLessThanOrEqual(0);
    await page.emulateMedia({ media: "print", colorScheme: "dark" });
    expect(await page.locator(".head").isVisible()).toBe(false);
    expect(await page.getByRole("navigation", { name: "Steps" }).isVisible()).toBe(false);
    expect(await page.getByRole("heading", { name: "The head to overcome, line by line" }).isVisible()).toBe(true);
    expect(await page.locator(".paper .sums").first().isVisible()).toBe(true);
    const pdf = (await page.pdf({ format: "Letter", preferCSSPageSize: true })).toString("latin1");
    const pages = pdf.match(/\/Type ?\/Page\b/g)?.length ?? 0;
    expect(pages).toBeGreaterThanOrEqual(1);
    expect(pages).toBeLessThanOrEqual(3);
    await page.context().close();
  });
});
