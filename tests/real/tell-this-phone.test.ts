// The way to a phone and back, in a real browser (chromium): the button, the push service (of the test's own), the service
// worker that shows the notice, and the answer.

import { spawn } from "node:child_process";
import { once } from "node:events";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { type Browser, type BrowserContext, chromium, type Page } from "playwright-core";
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it, vi } from "vitest";
import { changedTable } from "../../analysis/alarms/changed-table.ts";
import { alarmDesk } from "../../daemon/alarms/alarm-desk.ts";
import { nobodyTold } from "../../daemon/alarms/alarms-config.ts";
import { activeAlarms } from "../../daemon/alarms/alarms-view.ts";
import type { ChannelAtWork } from "../../daemon/alarms/channels/channel-at-work.ts";
import { webPush } from "../../daemon/alarms/channels/web-push.ts";
import { houseTime } from "../../daemon/alarms/house-time.ts";
import { openServiceBook } from "../../daemon/alarms/service-book.ts";
import { buildServer } from "../../daemon/server/build-server.ts";
import { createLiveFeed } from "../../daemon/server/live-feed.ts";
import type { Server } from "../../daemon/server/server-parts.ts";
import { finding } from "../analysis/alarms/alarm-input.ts";
import { listeningChannel } from "../daemon/alarms/channels/listening-channel.ts";
import { type House, house } from "../daemon/alarms/told-by-hand.ts";
import { testParts } from "../daemon/server/parts.ts";
import { makeCertificates } from "./certificates.ts";
import { freePort } from "./free-port.ts";
import { handOver, listenToWorker, putPushServiceIn, untilShown } from "./push/phone-browser.ts";
import { type PushService, type Browser as Subscriber, startPushService } from "./push/push-service.ts";
import { until } from "./until.ts";

// Other browsers may be at work beside this one.
const patience_ms = 30_000;
vi.setConfig({ testTimeout: 90_000 });

const root = join(import.meta.dirname, "../..");
const start_s = 1_700_000_000;
const phone = { width: 390, height: 844 };
/** A name in the home network: the browser takes it for this machine, but not for a safe one. */
const plainName = "basin.example.org";

let folder: string;
let browser: Browser;
let pushService: PushService;
let at: House;
let server: Server;
let port: number;
let context: BrowserContext;
let subscriber: () => Subscriber | null;

beforeAll(async () => {
  const build = spawn(process.execPath, ["dashboard/build.ts", "--if-stale"], { cwd: root, stdio: "inherit" });
  expect((await once(build, "exit"))[0]).toBe(0);
  browser = await chromium.launch({
    executablePath: "/usr/bin/chromium",
    args: [
      ...["--headless", "--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking"],
      `--host-resolver-rules=MAP ${plainName} 127.0.0.1`,
    ],
  });
});
afterAll(() => browser?.close());

beforeEach(async () => {
  folder = mkdtempSync(join(tmpdir(), "undercroft-phone-"));
  pushService = await startPushService(makeCertificates(folder, "push"));
  port = await freePort();
  await serve(`http://127.0.0.1:${port}`);
  subscriber = () => null;
});
afterEach(async () => {
  await context?.close();
  await server.close();
  await at.close();
  await pushService.close();
  rmSync(folder, { recursive: true, force: true });
});

/** The board's server, with Ann, who is told by her phones. */
async function serve(pageAddress: string): Promise<void> {
  const channel = {
    kind: "web-push",
    name: "phones",
    email: "ann@example.org",
    ca: join(folder, "push-ca.pem"),
  } as const;
  const config = {
    ...nobodyTold,
    ...{ channels: [channel], pageAddress, call: [{ contacts: ["Ann"], after_s: 0 }] },
    contacts: [{ name: "Ann", reach: [{ by: "phones", to: "Ann" }], quiet: null, mostAnHour: 6 }],
  };
  at = house(join(folder, "alarms.sqlite"), config, start_s);
  const listening = listeningChannel(folder, {
    ...{ addresses: ["Ann"], now_s: at.clock.now_s },
    onReceipt: (key, delivered, reason) => at.service.receipt("phones", key, delivered, reason),
  });
  const open = await webPush.open(webPush.config.parse(channel), listening.context);
  const channels = at.channels as Map<string, ChannelAtWork>;
  channels.set("phones", { name: "phones", comparesKeys: true, takesReplies: false, channel: open });
  const services = openServiceBook(at.service.outbox, config, { house: houseTime("UTC"), now_s: at.clock.now_s });
  const view = {
    service: at.service,
    definitions: changedTable({}),
    config,
    channels,
    services,
    now_s: at.clock.now_s,
  };
  const parts = testParts();
  const state = () => ({ ...parts.state(), alarms: activeAlarms(view) });
  server = buildServer({
    ...{ ...parts, state, feed: createLiveFeed(state), alarms: alarmDesk(view, at.service) },
    ...{ host: "0.0.0.0", pageFolder: join(root, "dashboard/dist") },
  });
  await server.listen({ port, host: "127.0.0.1" });
}

/** @param isOnline the browser gets an address at the push service of the test */
async function openPage(address: string, { isOnline = true, permission = "granted" } = {}): Promise<Page> {
  context = await browser.newContext({ viewport: phone });
  if (permission === "granted") await context.grantPermissions(["notifications"], { origin: address });
  if (isOnline) subscriber = await putPushServiceIn(context, pushService);
  const page = await context.newPage();
  await page.goto(`${address}/#alarms`);
  await page.getByRole("heading", { name: "Phones that have this page" }).waitFor();
  return page;
}

const text = () => subscriber()?.messages.at(-1)?.text ?? "";

describe("a phone that has the page", () => {
  it("is taken up by its button, proven by a test, and its word counts as delivery", async () => {
    const page = await openPage(`http://127.0.0.1:${port}`);
    await page.getByLabel("What to call it").fill("Ann's old phone");
    await page.getByRole("button", { name: "Tell this phone" }).click();
    await page.getByText("This phone is told as Ann.").waitFor();
    await page.getByRole("button", { name: "Send a test" }).click();
    await page.getByText("A test is on its way").waitFor();
    await until("the push service has the test", () => subscriber()?.messages.length === 1, patience_ms);
    const worker = await listenToWorker(context);
    await handOver(page, text());
    expect((await untilShown(worker, 1))[0]).toEqual({
      ...{ title: "Hill House: Test of the alarms", stays: false, again: true, actions: [] },
      body: "Nothing is wrong. If you can read this, it works.",
    });
    await until("the phone has said so", () => at.service.outbox.messages(1)[0]?.delivered_s != null, patience_ms);
    await page.reload();
    await page.getByText("Ann: Ann's old phone").waitFor();
    expect(await page.getByRole("list", { name: "Phones of Ann" }).textContent()).toMatch(/Last showed something/);
    expect(await page.getByRole("article", { name: "Ann" }).textContent()).toMatch(/phones to Ann.*[Pp]roven/);
  });

  it("shows high water until somebody looks, and answers from the notice", async () => {
    const page = await openPage(`http://127.0.0.1:${port}`);
    await page.getByRole("button", { name: "Tell this phone" }).click();
    await page.getByText("This phone is told as Ann.").waitFor();
    await at.see(start_s, [finding("high-water", start_s)]);
    await at.clock.turnTo(start_s + 61);
    await until("the push service has the message", () => subscriber()?.messages.length === 1, patience_ms);
    const worker = await listenToWorker(context);
    await handOver(page, text());
    expect((await untilShown(worker, 1))[0]).toMatchObject({
      ...{ title: "Hill House: HIGH WATER", stays: true, again: true, actions: ["I'll see to it"] },
    });
    // The same again, as after an answer that got lost, makes no sound.
    await handOver(page, text());
    expect((await untilShown(worker, 2))[1]).toMatchObject({ title: "Hill House: HIGH WATER", again: false });
    expect(
      await page.evaluate(async () => (await (await navigator.serviceWorker.ready).getNotifications()).length),
    ).toBe(1);

    await worker.evaluate(async () => {
      const scope = globalThis as unknown as {
        registration: ServiceWorkerRegistration;
        dispatchEvent(event: Event): void;
        NotificationEvent: new (kind: string, of: object) => Event;
      };
      const [notification] = await scope.registration.getNotifications();
      scope.dispatchEvent(new scope.NotificationEvent("notificationclick", { notification, action: "answer" }));
    });
    const standing = () => at.service.alarms().find(({ name }) => name === "high-water");
    await until("it is acknowledged", () => standing()?.state === "acknowledged", patience_ms);
    expect(standing()?.acknowledged?.by).toBe("Ann");
    expect((await untilShown(worker, 3))[2]?.body).toBe("Noted: nobody further is called.");
  });

  it("is told that something came, also when it cannot be read", async () => {
    const page = await openPage(`http://127.0.0.1:${port}`);
    await page.getByRole("button", { name: "Tell this phone" }).click();
    await page.getByText("This phone is told as Ann.").waitFor();
    const worker = await listenToWorker(context);
    await handOver(page, "{");
    expect((await untilShown(worker, 1))[0]).toMatchObject({
      title: "Undercroft",
      body: "There is something to see. Open the page.",
    });
  });

  it("is taken off the list there and then, and can be taken up again", async () => {
    const page = await openPage(`http://127.0.0.1:${port}`);
    await page.getByRole("button", { name: "Tell this phone" }).click();
    await page.getByText("This phone is told as Ann.").waitFor();
    await page.getByRole("button", { name: "Remove phone of Ann" }).click();
    await page.getByText("phone of Ann is told no more.").waitFor();
    await page.getByRole("button", { name: "Tell this phone" }).waitFor();
    expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBe(phone.width);
  });

  it("is told why, where its browser gets no address at its push service", async () => {
    const page = await openPage(`http://127.0.0.1:${port}`, { isOnline: false });
    await page.getByRole("button", { name: "Tell this phone" }).click();
    await page.getByText(/got no address at its push service .*Is this device on the internet/).waitFor();
  });

  it("is not offered a button under plain http, but what to do", async () => {
    const page = await openPage(`http://${plainName}:${port}`, { permission: "none" });
    await page.getByText("This page was opened without encryption").waitFor();
    await page.getByText("Give the board a certificate").waitFor();
    expect(await page.getByRole("button", { name: "Tell this phone" }).count()).toBe(0);
    expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBe(phone.width);
  });

  it("is sent to the encrypted address where there is one", async () => {
    await server.close();
    await at.close();
    await serve("https://basin.example.org");
    const page = await openPage(`http://${plainName}:${port}`, { permission: "none" });
    const link = page.getByRole("link", { name: "https://basin.example.org" });
    expect(await link.getAttribute("href")).toBe("https://basin.example.org/#alarms");
  });
});
