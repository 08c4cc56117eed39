// The alarms on the page in a real Chromium (chromium), before the real server and the alarms of a house of our invention.

import { spawn } from "node:child_process";
import { once } from "node:events";
import { join } from "node:path";
import { type Browser, chromium, type Locator, type Page } from "playwright-core";
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from "vitest";
import { finding } from "../analysis/alarms/alarm-input.ts";
import { type AlarmedHouse, people, start_s, startAlarmedHouse } from "../dashboard/alarmed-house.ts";

const root = join(import.meta.dirname, "../..");
const phone = { width: 390, height: 844 };
const desktop = { width: 1440, height: 900 };
const refused = "mail.example.org refuses user name or password; check username and password_file";

let browser: Browser;
let house: AlarmedHouse;
let open: Page[] = [];

beforeAll(async () => {
  const build = spawn(process.execPath, ["dashboard/build.ts", "--if-stale"], { cwd: root, stdio: "inherit" });
  expect((await once(build, "exit"))[0]).toBe(0);
  browser = await chromium.launch({
    executablePath: "/usr/bin/chromium",
    args: ["--headless", "--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking"],
  });
});
afterAll(() => browser?.close());

beforeEach(async () => {
  house = await startAlarmedHouse(people, {
    ...{ host: "beat.example.org", every_s: 300, answered_s: start_s - 4000, problem: "no answer in 15 s" },
  });
});
afterEach(async () => {
  for (const page of open) await page.context().close();
  open = [];
  await house.close();
});

/** A page that gathers what the console complains about. */
async function show(view: string, viewport = phone): Promise<{ page: Page; complaints: string[] }> {
  const context = await browser.newContext({ viewport, reducedMotion: "reduce" });
  const page = await context.newPage();
  open.push(page);
  page.setDefaultTimeout(10_000);
  const complaints: string[] = [];
  page.on("console", (message) => ["error", "warning"].includes(message.type()) && complaints.push(message.text()));
  page.on("pageerror", (error) => complaints.push(error.message));
  await page.goto(`${house.url}#${view}`);
  return { page, complaints };
}

const highWater = () => house.see(start_s, [finding("high-water", start_s - 90)], { level_m: 0.53 });
const stateOf = (name: string) => house.at.service.alarms().find((alarm) => alarm.name === name);

/** By how much anything is wider than the screen, the way to the views and the name on top too. */
const overflow = (page: Page) =>
  page.evaluate(() => {
    const [nav, brand] = [document.querySelector(".ways"), document.querySelector(".brand-word")];
    const within = (element: Element | null) => (element === null ? 0 : element.scrollWidth - element.clientWidth);
    return Math.max(document.documentElement.scrollWidth - innerWidth, within(nav), within(brand));
  });

it.each([
  ["a phone", phone],
  ["a desktop", desktop],
  ["the narrowest screen that a page has to fit (WCAG 2.2, 1.4.10)", { width: 320, height: 640 }],
  ["a tablet", { width: 900, height: 1200 }],
])(
  "the alarms fit %s, with every control large enough to touch, and each section and control has a name",
  async (_name, viewport) => {
    house.at.trouble("mail", refused);
    await highWater();
    house.at.service.shelve("service-due", start_s + 86_400, "Ann", "the plumber comes on Friday");
    const { page, complaints } = await show("alarms", viewport);
    await page.getByRole("heading", { name: "How the alarms do" }).waitFor();
    for (const name of [
      "Now",
      "Somebody might not be told",
      "Put aside: nobody is told",
      "Who is told",
      "Messages",
      "Who did what",
    ]) {
      await page.getByRole("region", { name }).waitFor();
    }
    expect(await overflow(page)).toBeLessThanOrEqual(0);
    const poor = await page.evaluate(() =>
      [...document.querySelectorAll<HTMLElement>("main button:not(.plain), main summary")]
        .filter((element) => element.checkVisibility())
        .filter((element) => element.getBoundingClientRect().height < 44 || element.textContent.trim() === "")
        .map((element) => element.outerHTML),
    );
    expect(poor).toEqual([]);
    await page.getByRole("link", { name: "Now" }).click();
    await page.getByRole("button", { name: "I'll see to it: High water" }).waitFor();
    expect(await overflow(page)).toBeLessThanOrEqual(0);
    expect(complaints).toEqual([]);
  },
);

it("every control of the alarms is reached by keyboard alone, with a ring around it", async () => {
  await highWater();
  const { page } = await show("alarms", desktop);
  await page.getByRole("heading", { name: "How the alarms do" }).waitFor();
  const controls = "a[href], button, summary, input, select";
  const count = await page.evaluate((selector) => {
    const all = [...document.querySelectorAll<HTMLElement>(selector)];
    return all.filter((element) => element.checkVisibility() && !element.matches(":disabled")).length;
  }, controls);
  const reached = new Set<number>();
  for (let i = 0; i < count + 2; i++) {
    await page.keyboard.press("Tab");
    const focus = await page.evaluate((selector) => {
      const element = document.activeElement;
      if (element === null || element === document.body) return null;
      const at = [...document.querySelectorAll(selector)].indexOf(element);
      return { at, ring: getComputedStyle(element).outlineStyle };
    }, controls);
    if (focus === null) continue;
    expect(focus.ring).toBe("solid");
    reached.add(focus.at);
  }
  expect(reached.has(-1)).toBe(false);
  expect(reached.size).toBe(count);
});

it("whoever answers by keyboard is left at the content, not at the top of the page", async () => {
  await highWater();
  const { page } = await show("alarms", desktop);
  const answer = page.getByRole("button", { name: "I'll see to it: High water" });
  await answer.focus();
  await page.keyboard.press("Enter");
  const name = page.getByRole("combobox", { name: "Your name" });
  await name.waitFor();
  await page.keyboard.press("Escape");
  await expect.poll(() => isFocused(answer)).toBe(true);
  await page.keyboard.press("Enter");
  await expect.poll(() => isFocused(name)).toBe(true);
  await page.keyboard.type("Ann");
  await page.keyboard.press("Enter");
  await answer.waitFor({ state: "detached" });
  await expect.poll(() => page.evaluate(() => document.activeElement?.id)).toBe("main");
  await page.keyboard.press("Tab");
  const shelve = page.getByRole("button", { name: "Shelve… High water" }).first();
  await expect.poll(() => isFocused(shelve)).toBe(true);
});

/** Asked at once: what is not there has no focus. */
async function isFocused(element: Locator): Promise<boolean> {
  return (await element.count()) > 0 && element.evaluate((each) => each === document.activeElement);
}

describe.each([
  ["phone", phone],
  ["desktop", desktop],
] as const)("the alarms on a %s", (_name, viewport) => {
  it("ask once for a name, take it for the answer, and remember it", async () => {
    await highWater();
    const { page, complaints } = await show("alarms", viewport);
    await page.getByText("1 alarm waits for an answer.").waitFor();
    await page.getByRole("button", { name: "I'll see to it: High water" }).click();
    const dialog = page.getByRole("dialog", { name: "Who will see to it? High water" });
    expect((await dialog.boundingBox())?.width).toBeLessThanOrEqual(viewport.width - 16);
    await dialog.getByRole("combobox", { name: "Your name" }).fill("Ann");
    await page.keyboard.press("Enter");
    await dialog.waitFor({ state: "detached" });
    await page.getByRole("status").filter({ hasText: "Noted: nobody further is called." }).waitFor();
    await page.getByText("One alarm, and somebody is seeing to it.").waitFor();
    await page.getByText("Ann is seeing to it").waitFor();
    expect(stateOf("high-water")).toMatchObject({ state: "acknowledged", acknowledged: { by: "Ann" } });
    await page.reload();
    await page.getByText("On this device, Ann answers.").waitFor();
    expect(complaints).toEqual([]);
  });
});

describe("the alarms", () => {
  it("are answered on the first screen too, at once where the name is known", async () => {
    const { page } = await show("alarms");
    await page.getByRole("button", { name: "Give a name" }).click();
    await page.getByRole("textbox", { name: "Your name" }).fill("Ben of next door");
    await page.getByRole("button", { name: "Keep" }).click();
    await highWater();
    await page.getByRole("link", { name: "Now" }).click();
    await page.getByText("as Ben of next door").waitFor();
    await page.getByRole("button", { name: "I'll see to it: High water" }).click();
    await page.getByText("Ben of next door is seeing to it").waitFor();
    expect(stateOf("high-water")?.acknowledged?.by).toBe("Ben of next door");
  });

  it("are shelved by keyboard alone, for a chosen time and with a reason, and taken off the shelf", async () => {
    await highWater();
    const { page, complaints } = await show("alarms", desktop);
    const shelve = page.getByRole("button", { name: "Shelve… High water" });
    await shelve.focus();
    await page.keyboard.press("Enter");
    const dialog = page.getByRole("dialog", { name: "Shelve: High water" });
    await dialog.waitFor();
    expect(await dialog.getByRole("radio").count()).toBe(4);
    expect(await dialog.getByRole("radio", { name: "1 h" }).isChecked()).toBe(true);
    expect(await page.evaluate("document.activeElement.type")).toBe("radio");
    await page.keyboard.press("ArrowRight");
    expect(await dialog.getByRole("radio", { name: "4 h" }).isChecked()).toBe(true);
    await page.keyboard.press("Tab");
    await page.keyboard.type("the plumber is here");
    await page.keyboard.press("Tab");
    await page.keyboard.type("Ann");
    await page.keyboard.press("Enter");
    await dialog.waitFor({ state: "detached" });
    await page.getByText("Shelved until Wed 4 Mar, 10:10, by Ann: the plumber is here").waitFor();
    await page.getByText("One is so now and put aside: nobody is told.").waitFor();
    expect(stateOf("high-water")).toMatchObject({ shelved: { by: "Ann", reason: "the plumber is here" } });
    // Silence is not to be taken for calm: the first view says it, too.
    await page.getByRole("link", { name: "Now", exact: true }).click();
    await page.getByText("High water: shelved until Wed 4 Mar, 10:10, by Ann. Nobody is told of it.").waitFor();
    await page.getByRole("link", { name: "Alarms", exact: true }).click();
    await page.getByRole("button", { name: "Take off the shelf: High water" }).click();
    await page.getByRole("button", { name: "I'll see to it: High water" }).waitFor();
    expect(stateOf("high-water")?.shelvedUntil_s).toBeNull();
    expect(complaints).toEqual([]);
  });

  it("want a reason and a name before anything is put aside, and let it be with Escape", async () => {
    const { page } = await show("alarms");
    await page.locator("summary", { hasText: "Sensor lost" }).click();
    await page.getByRole("button", { name: "Take out of service…" }).click();
    const dialog = page.getByRole("dialog");
    await dialog.getByRole("button", { name: "Take out of service" }).click();
    expect(await dialog.getByRole("textbox", { name: "Why" }).evaluate((input) => input.matches(":invalid"))).toBe(
      true,
    );
    await page.keyboard.press("Escape");
    await dialog.waitFor({ state: "detached" });
    expect(stateOf("sensor-lost")?.outOfService).toBe(false);

    await page.getByRole("button", { name: "Take out of service…" }).click();
    await dialog.getByRole("textbox", { name: "Why" }).fill("it is being cleaned");
    await dialog.getByRole("combobox", { name: "Your name" }).fill("Ben");
    await dialog.getByRole("button", { name: "Take out of service" }).click();
    await page.getByText(/^Out of service, by Ben, since .*: it is being cleaned$/).waitFor();
    await page.getByRole("button", { name: "Put back in service: Sensor lost" }).click();
    await page.getByRole("region", { name: "Put aside: nobody is told" }).waitFor({ state: "detached" });
    expect(stateOf("sensor-lost")?.outOfService).toBe(false);
  });

  it("send a test to a contact, and say what became of it and when the way was proven", async () => {
    const { page } = await show("alarms");
    const ann = page.getByRole("article", { name: "Ann" });
    await ann.getByText("Never proven: send a test").first().waitFor();
    await ann.getByRole("button", { name: "Test Ann by modem" }).click();
    await ann.getByText(/Test 1: delivered 06:10 by modem/).waitFor();
    await ann.getByText(/Last proven Wed 4 Mar, 06:10/).waitFor();
    expect(house.at.sent).toMatchObject([{ by: "modem", to: "+1 555 0100" }]);
    await ann.getByRole("button", { name: "Test Ann by modem" }).click();
    const alert = page.getByRole("alert").filter({ hasText: "expected 30 s between two tests of one way" });
    await alert.waitFor();
    await page.getByRole("button", { name: "Close" }).click();
    await alert.waitFor({ state: "detached" });
  });

  it("say in plain words what did not get through, and that nobody hears whether the board lives", async () => {
    house.at.trouble("mail", refused);
    house.at.answer("mail", { is: "failed", reason: refused, again: true });
    await highWater();
    await house.at.clock.turnTo(start_s + 900);
    const { page } = await show("alarms");
    const trouble = page.getByRole("region", { name: "Somebody might not be told" });
    await trouble.getByText("No channel reaches Neighbour now.").waitFor();
    await trouble.getByText(`mail: ${refused}.`).waitFor();
    await trouble.getByText("1 message of the last day did not get through.").waitFor();
    await trouble.getByText(/does not hear it: no answer in 15 s/).waitFor();
    const messages = page.getByRole("region", { name: "Messages" });
    await messages.getByRole("heading", { name: "Not delivered" }).waitFor();
    await messages.getByText(/^Tried \d times, again 4 Mar 06:\d\d: mail\.example\.org refuses/).waitFor();
    await page.getByRole("link", { name: "Now" }).click();
    await page.getByText("Alarms do not reach Neighbour: see Alarms.").waitFor();
  });
});
