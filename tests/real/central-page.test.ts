// The page of all basins in a real Chromium (chromium), with two thousand boards of our invention.

import { spawn } from "node:child_process";
import { once } from "node:events";
import { join } from "node:path";
import { type Browser, chromium, type Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { hashPassword } from "../../daemon/central/access/password.ts";
import { inventRound } from "../daemon/central/invented-round.ts";
import { type Round, startRound } from "../daemon/central/round.ts";
import { openFinding, siteInfo } from "./central-boards.ts";

const root = join(import.meta.dirname, "../..");
const phone = { width: 390, height: 844 };
const desktop = { width: 1440, height: 900 };

let browser: Browser;
let round: Round;

beforeAll(async () => {
  const build = spawn(process.execPath, ["dashboard/build.ts", "--if-stale"], { cwd: root, stdio: "inherit" });
  expect((await once(build, "exit"))[0]).toBe(0);
  round = await inventRound(2000);
  browser = await chromium.launch({
    executablePath: "/usr/bin/chromium",
    args: ["--headless", "--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking"],
  });
});
afterAll(async () => {
  await browser?.close();
  await round?.stop();
});

/** A page that gathers what the console complains about. */
async function open(url: string, viewport = desktop, locale = "en-GB"): Promise<{ page: Page; complaints: string[] }> {
  const context = await browser.newContext({ viewport, locale });
  const page = await context.newPage();
  const complaints: string[] = [];
  page.on("console", (message) => message.type() === "error" && complaints.push(message.text()));
  page.on("pageerror", (error) => complaints.push(error.message));
  await page.goto(url);
  return { page, complaints };
}

const firstTitle = (page: Page) => page.locator(".line").first().locator(".line-name a").textContent();

describe.each([
  ["phone", phone],
  ["desktop", desktop],
] as const)("two thousand basins on a %s", (_name, viewport) => {
  it("stand in lines, most urgent first, and nothing sticks out sideways", async () => {
    const { page, complaints } = await open(round.url, viewport);
    await page.locator(".line").first().waitFor();
    expect(await page.locator(".line-true b").first().textContent()).toBe("High water");
    expect(await page.locator(".found").textContent()).toBe("2,000 basins, most urgent first");
    expect(await page.evaluate("document.documentElement.scrollWidth")).toBe(viewport.width);
    expect(complaints).toEqual([]);
    await page.context().close();
  });
});

describe("the page of all basins", () => {
  it("draws only the first lines, and more as the reader comes near their end", async () => {
    const { page } = await open(round.url);
    await page.locator(".line").first().waitFor();
    expect(await page.locator(".line").count()).toBe(60);
    await page.locator(".more").scrollIntoViewIfNeeded();
    await expect.poll(() => page.locator(".line").count()).toBeGreaterThan(60);
    await page.context().close();
  });

  it("shows what happens while it is open, and puts it where it belongs", async () => {
    const own = await startRound({
      basins: [
        { name: "a", title: "Alder Court" },
        { name: "b", title: "Birch Court" },
      ],
    });
    for (const name of ["a", "b"]) own.say(name);
    const { page, complaints } = await open(own.url, phone);
    await page.getByRole("heading", { name: "Nobody is needed anywhere." }).waitFor();
    expect(await firstTitle(page)).toBe("Alder Court");
    const openFindings = [openFinding("high-water", "critical")];
    own.say("b", { openFindings });
    await page.getByRole("heading", { name: "1 basin needs someone now." }).waitFor();
    expect(await firstTitle(page)).toBe("Birch Court");
    expect(await page.title()).toBe("(1) Invented round · Undercroft");
    own.say("b", { level_m: 0.614, pumpRunning: true, openFindings });
    await page.getByText("61.4 cm").waitFor();
    own.broker.lost = { since_s: Date.now() / 1000 - 60, reason: "mqtt://127.0.0.1:9: connection lost" };
    await page.getByRole("alert").filter({ hasText: "No board has been heard since" }).waitFor();
    expect(complaints).toEqual([]);
    await page.context().close();
    await own.stop();
  });

  it("shows levels as they are read where the reader's language is spoken, until another choice is made", async () => {
    const own = await startRound({ basins: [{ name: "a", title: "Alder Court" }] });
    own.say("a", { level_m: 0.614 });
    const { page } = await open(own.url, phone, "en-US");
    await page.getByText("24.2 in").waitFor();
    await page.getByRole("button", { name: "Metric" }).click();
    await page.getByText("61.4 cm").waitFor();
    await page.context().close();
    await own.stop();
  });

  it("finds a basin by what is typed, by its group and by how it is", async () => {
    const { page } = await open(round.url);
    await page.getByRole("searchbox").fill("12 mill lane");
    await expect.poll(() => page.locator(".found").textContent()).toMatch(/^\d+ basins? of 2,000/);
    expect(await firstTitle(page)).toMatch(/Mill Lane/);
    await page.getByRole("searchbox").fill("no such place");
    await page.getByRole("button", { name: "Show all" }).click();
    await page.getByRole("button", { name: /needs? someone now/ }).click();
    const inTrouble = await page.locator(".line").count();
    expect(inTrouble).toBe(await page.locator(".line-now").count());
    await page.getByRole("button", { name: /needs? someone now/ }).click();
    await page.getByRole("combobox").selectOption("North bank");
    await page.getByRole("button", { name: "By group" }).click();
    expect(await page.locator(".group h2").allTextContents()).toEqual([expect.stringMatching(/^North bank/)]);
    await page.context().close();
  });

  it("opens a basin's own page, and comes back", async () => {
    const own = await startRound({ basins: [{ name: "a", title: "Alder Court" }] });
    own.keep("a", "site", siteInfo);
    own.say("a");
    const { page, complaints } = await open(own.url, phone);
    await page.getByRole("link", { name: "Alder Court" }).click();
    await page.getByRole("heading", { name: "Dry." }).waitFor();
    expect(new URL(page.url()).pathname).toBe("/basins/a/");
    for (const view of ["Record", "Cycles", "Findings", "Sizing"])
      await page.getByRole("link", { name: view, exact: true }).click();
    expect(await page.evaluate("document.documentElement.scrollWidth")).toBe(phone.width);
    await page.getByRole("link", { name: "All basins" }).click();
    await page.getByRole("link", { name: "Alder Court" }).waitFor();
    expect(complaints.filter((complaint) => !complaint.includes("503"))).toEqual([]);
    await page.context().close();
    await own.stop();
  });

  it.each([phone, desktop])("shows on %o whom the boards call for what, and takes an answer", async (viewport) => {
    const own = await startRound({
      basins: [
        { name: "a", title: "Alder Court" },
        { name: "b", title: "Birch Court" },
      ],
    });
    const from_s = Date.now() / 1000 - 240;
    const alarm = {
      ...{ name: "high-water", title: "HIGH WATER", priority: "high", whatToDo: "Check the pump." },
      ...{ state: "unacknowledged", from_s, to_s: null, acknowledgedBy: null },
    };
    const tell = (change: object = {}, more: object = {}) => {
      const alarms = [{ ...alarm, ...change }];
      own.tell("b", "alarms", JSON.stringify({ alarms, acknowledge: true, shelve: true, ...more }));
    };
    for (const name of ["a", "b"]) {
      own.keep(name, "site", siteInfo);
      own.say(name);
    }
    const { page, complaints } = await open(own.url, viewport);
    await page.getByRole("link", { name: "Alder Court" }).waitFor();
    expect(await page.locator(".standing").count()).toBe(0);
    tell();
    const alarms = page.getByRole("region", { name: "1 alarm, 1 not answered" });
    await alarms.getByText("High water for 4 min").waitFor();
    expect(await page.evaluate("document.documentElement.scrollWidth")).toBe(viewport.width);

    own.broker.lost = { since_s: Date.now() / 1000, reason: "connection lost" };
    const button = page.getByRole("button", { name: "I'll see to it: High water, Birch Court" });
    await button.click();
    await page.getByRole("alert").filter({ hasText: "the board goes on calling people" }).waitFor();
    own.broker.lost = null;
    await button.click();
    await page.getByText("the central view has answered; the board has not confirmed yet").first().waitFor();
    await button.waitFor({ state: "detached" });
    tell({ state: "acknowledged", acknowledgedBy: "the central view" });
    await page.getByRole("region", { name: "1 alarm, all answered" }).waitFor();

    tell({ from_s: from_s + 60 });
    await page.getByRole("region", { name: "1 alarm, 1 not answered" }).getByRole("link").click();
    await page.getByRole("button", { name: "I'll see to it: High water" }).click();
    await page.getByRole("status").filter({ hasText: "The broker keeps your answer" }).waitFor();
    await page.getByText("the central view (the board has not confirmed yet) is seeing to it").waitFor();
    expect(own.told.map(({ topic }) => topic)).toEqual(["acknowledge/high-water", "acknowledge/high-water"]);

    await page.getByRole("link", { name: "Alarms", exact: true }).click();
    await page.getByRole("button", { name: "Shelve… High water" }).click();
    const dialog = page.getByRole("dialog", { name: "Shelve: High water" });
    await dialog.getByText("under the name of your log-in").waitFor();
    expect(await dialog.getByLabel("Your name").count()).toBe(0);
    await dialog.getByLabel("15 min").check();
    await dialog.getByLabel("Why").fill("new pump");
    await dialog.getByRole("button", { name: "Shelve", exact: true }).click();
    await dialog.waitFor({ state: "detached" });
    await page
      .getByText(/^Shelved until .*, by the central view \(the board has not confirmed yet\): new pump$/)
      .waitFor();
    const { until_s } = JSON.parse(own.told.at(-1)?.payload ?? "{}");
    const done = [
      {
        ...{ at_s: from_s + 120, kind: "shelved", alarm: "high-water", title: "HIGH WATER", by: "the central view" },
        ...{ via: "afar", reason: "new pump", until_s, contact: null },
      },
    ];
    const aside = [{ ...done[0], name: "high-water", since_s: from_s + 120 }];
    tell({ from_s: from_s + 60, state: "shelved" }, { aside, done });
    own.tell("b", "shelve/high-water", "");
    await page.getByText(/^Shelved until .*, by the central view: new pump$/).waitFor();
    await page
      .getByRole("region", { name: "Who did what" })
      .getByText(/shelved until .* from afar: new pump/)
      .waitFor();
    expect(await page.evaluate("document.documentElement.scrollWidth")).toBe(viewport.width);
    await page.getByRole("button", { name: "Take off the shelf: High water" }).click();
    await page.getByText("None.", { exact: true }).waitFor();
    await expect.poll(() => own.told.at(-1)?.payload).toContain('"until_s":null');
    expect(complaints.filter((complaint) => !complaint.includes("503"))).toEqual([]);
    await page.context().close();
    await own.stop();
  });

  it("asks for name and password where there are log-ins, and shows a customer no more than his own", async () => {
    const password = await hashPassword("a dry cellar");
    const own = await startRound({
      basins: [
        { name: "a", title: "Alder Court", customer: "lakeside" },
        { name: "b", title: "Birch Court" },
      ],
      customers: new Map([["lakeside", "Lakeside Homes"]]),
      logins: [{ name: "lake office", password, customer: "lakeside" }],
    });
    for (const name of ["a", "b"]) own.say(name);
    const { page } = await open(own.url, phone);
    await page.getByLabel("Name").fill("lake office");
    await page.getByLabel("Password").fill("a wet cellar");
    await page.getByRole("button", { name: "Log in" }).click();
    await page.getByText("Name or password is wrong.").waitFor();
    await page.getByLabel("Password").fill("a dry cellar");
    await page.getByRole("button", { name: "Log in" }).click();
    await page.getByRole("link", { name: "Alder Court" }).waitFor();
    expect(await page.locator(".line").count()).toBe(1);
    await page.reload();
    await page.getByRole("link", { name: "Alder Court" }).waitFor();
    await page.getByRole("button", { name: "Log out" }).click();
    await page.getByRole("heading", { name: "Log in" }).waitFor();
    expect(await page.locator(".line").count()).toBe(0);
    await page.context().close();
    await own.stop();
  });
});
