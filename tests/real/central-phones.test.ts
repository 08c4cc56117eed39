// The central view's phones, over TLS, against a push service of the test's own: who takes them up, and who is told; and in a
// real browser (chromium).

import { spawn } from "node:child_process";
import { once } from "node:events";
import { mkdtempSync, readFileSync, rmSync } from "node:fs";
import { request } from "node:https";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { chromium } from "playwright-core";
import { afterEach, beforeAll, beforeEach, describe, expect, it, vi } from "vitest";
import { hashPassword } from "../../daemon/central/access/password.ts";
import type { PhonesAnswer } from "../../daemon/server/phones-types.ts";
import { type Round, startRound } from "../daemon/central/round.ts";
import { openFinding } from "./central-boards.ts";
import { makeCertificates } from "./certificates.ts";
import { handOver, listenToWorker, putPushServiceIn, untilShown } from "./push/phone-browser.ts";
import { type Browser, type PushService, startPushService } from "./push/push-service.ts";
import { until } from "./until.ts";

// Other browsers may be at work beside this one.
const patience_ms = 30_000;
vi.setConfig({ testTimeout: 90_000 });

const root = join(import.meta.dirname, "../..");
const basins = [
  { name: "elm-12", title: "12 Elm Street", customer: "lakeside", place: "cellar, door on the left" },
  { name: "mill-3", title: "3 Mill Lane", customer: "old-town" },
];
const customers = new Map([
  ["lakeside", "Lakeside Homes"],
  ["old-town", "Old Town Rentals"],
]);

let folder: string;
let certificates: ReturnType<typeof makeCertificates>;
let service: PushService;
let round: Round;
let now_s: number;
let password: string;

beforeAll(async () => {
  const build = spawn(process.execPath, ["dashboard/build.ts", "--if-stale"], { cwd: root, stdio: "inherit" });
  expect((await once(build, "exit"))[0]).toBe(0);
});
beforeEach(async () => {
  folder = mkdtempSync(join(tmpdir(), "undercroft-central-phones-"));
  certificates = makeCertificates(folder, "central");
  service = await startPushService(certificates);
  now_s = 1_795_700_000;
  password ??= await hashPassword("a dry cellar");
  await start();
});
afterEach(async () => {
  await round.stop();
  await service.close();
  rmSync(folder, { recursive: true, force: true });
});

async function start(): Promise<void> {
  round = await startRound({
    ...{ basins, customers, server: { tls: certificates } },
    logins: [
      { name: "anna", password, customer: null },
      { name: "lake office", password, customer: "lakeside" },
    ],
    phones: {
      email: "anna@example.org",
      file: join(folder, "phones.json"),
      tellAfter_s: 0,
      ca: certificates.ca,
    },
    central: { clock: { now_s: () => now_s, wallStep_s: () => 0 } },
  });
  for (const { name } of basins) round.say(name);
}

function ask(
  path: string,
  body?: object,
  cookie = "",
): Promise<{ status: number; cookie: string; answer: PhonesAnswer }> {
  return new Promise((resolve, reject) => {
    const options = {
      ...{ method: body === undefined ? "GET" : "POST", agent: false as const, ca: readFileSync(certificates.ca) },
      headers: { cookie, ...(body !== undefined && { "content-type": "application/json" }) },
    };
    const sent = request(new URL(path, round.url), options, (response) => {
      let text = "";
      response.setEncoding("utf8").on("data", (more: string) => {
        text += more;
      });
      response.on("end", () => {
        const given = response.headers["set-cookie"]?.[0]?.split(";")[0] ?? "";
        resolve({ status: response.statusCode ?? 0, cookie: given, answer: JSON.parse(text) });
      });
    });
    sent.on("error", reject);
    sent.end(body === undefined ? undefined : JSON.stringify(body));
  });
}

const logIn = async (name: string) => (await ask("api/session", { name, password: "a dry cellar" })).cookie;

async function takeUp(person: string): Promise<Browser & { readonly cookie: string }> {
  const cookie = await logIn(person);
  const { publicKey } = (await ask("api/phones", undefined, cookie)).answer;
  const browser = service.subscribe(publicKey ?? "");
  const { subscription } = browser;
  expect((await ask("api/phones", { person, name: "phone", subscription }, cookie)).status).toBe(200);
  now_s += 1;
  return { ...browser, cookie };
}

const notes = ({ messages }: Browser) => messages.map(({ text }) => JSON.parse(text));
describe("the central view's phones", () => {
  it("are told of what calls for somebody, over TLS, each log-in of what it may see", async () => {
    const [anna, office] = [await takeUp("anna"), await takeUp("lake office")];
    round.say("mill-3", { openFindings: [openFinding("high-water", "critical", now_s)] });
    await until("anna is told", () => anna.messages.length === 1, patience_ms);
    round.say("elm-12", { openFindings: [openFinding("float-stuck-off", "critical", now_s)] });
    await until("the office is told of its own", () => office.messages.length === 1, patience_ms);
    expect(notes(anna)[0]).toMatchObject({ title: "3 Mill Lane: High water", url: "basins/mill-3/" });
    expect(notes(office)[0]).toMatchObject({ title: "12 Elm Street: The pump does not start" });
  });

  it("have the button above the basins, and a tap's way to the one that calls", async () => {
    const browser = await chromium.launch({
      executablePath: "/usr/bin/chromium",
      args: [
        ...["--headless", "--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking"],
        "--ignore-certificate-errors", // a service worker wants a certificate that the browser takes for good
      ],
    });
    const context = await browser.newContext({ viewport: { width: 390, height: 844 } });
    await context.grantPermissions(["notifications"], { origin: new URL(round.url).origin });
    const subscriber = await putPushServiceIn(context, service);
    const page = await context.newPage();
    await page.goto(round.url);
    await page.getByLabel("Name").fill("lake office");
    await page.getByLabel("Password").fill("a dry cellar");
    await page.getByRole("button", { name: "Log in" }).click();
    await page.getByText("Tell this phone what calls for somebody").click();
    await page.getByRole("button", { name: "Tell this phone" }).click();
    await page.getByText("This phone is told as lake office.").waitFor();
    expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBe(390);
    now_s += 1;
    round.say("elm-12", { openFindings: [openFinding("high-water", "critical", now_s)] });
    await until("the push service has it", () => subscriber()?.messages.length === 1, patience_ms);
    const worker = await listenToWorker(context);
    await handOver(page, subscriber()?.messages[0]?.text ?? "");
    expect((await untilShown(worker, 1))[0]).toMatchObject({
      title: "12 Elm Street: High water",
      stays: true,
      actions: [],
    });
    await browser.close();
  });

  it("belong to the log-in that took them up, and to nobody else", async () => {
    const anna = await takeUp("anna");
    const office = await logIn("lake office");
    const id = (await ask("api/phones", undefined, anna.cookie)).answer.people[0]?.phones[0]?.id;
    expect((await ask("api/phones")).status).toBe(401);
    expect((await ask("api/phones", undefined, office)).answer.people).toEqual([
      { name: "lake office", by: "phones", phones: [] },
    ]);
    await ask("api/phones/remove", { phone: id }, office);
    expect((await ask("api/phones/test", { person: "anna" }, office)).status).toBe(400);
    expect((await ask("api/phones/test", { person: "anna" }, anna.cookie)).status).toBe(200);
    await until("the test is there", () => anna.messages.length === 1, patience_ms);
    expect(notes(anna)[0]).toMatchObject({ title: "Invented round: test" });
    const left = await ask("api/phones/remove", { phone: id }, anna.cookie);
    expect(left.answer.people[0]?.phones).toEqual([]);
  });
});
