import { type ChildProcess, execFileSync, spawn } from "node:child_process";
import { mkdirSync, readFileSync, writeFileSync } from "node:fs";
import { request } from "node:https";
import { join, resolve } from "node:path";
import { createInterface } from "node:readline";
import { connect, type IClientOptions, type MqttClient } from "mqtt";
import { afterAll, afterEach, beforeAll, describe, expect, it } from "vitest";
import { parse, stringify } from "yaml";
import { findingKinds } from "../../analysis/findings/finding.ts";
import type { OverviewAnswer } from "../../daemon/central/central-types.ts";
import { loadSiteFile } from "../../daemon/config/load-site-file.ts";
import type { CyclesAnswer } from "../../daemon/server/api-types.ts";
import { enrol, remove, renew } from "../../deploy/central/boards.ts";
import { keepAllCertificates } from "../../deploy/central/certificates.ts";
import { makeConfiguration, prepareDatabase } from "../../deploy/central/set-up.ts";
import { watchPage } from "../bench/central/page-watch.ts";
import { type CentralMachine, secretOf, startCentralMachine } from "./central-machine.ts";
import { until } from "./until.ts";

// mosquitto and influxd, with the files that `undercroft-central set-up` makes.

let here: CentralMachine;
let clients: MqttClient[] = [];

beforeAll(async () => {
  here = await startCentralMachine();
  await prepareDatabase(here.places);
  await enrol(here.places, [{ name: "elm-12" }, { name: "oak-3" }]);
  await here.reloadBroker();
});
afterEach(async () => {
  for (const client of clients) await client.endAsync(true);
  clients = [];
});
afterAll(() => here?.dispose());

const ca = () => readFileSync(join(here.places.tls, "ca.pem"));
const passwordAt = (board: string, of: "broker" | "database") => secretOf(join(here.places.boards, board, of));

/** Of points: what is older than the database keeps readings, it would not take. */
const now_s = Math.floor(Date.now() / 1000);

interface Tried {
  readonly client: MqttClient | null;
  readonly refused: string | null;
}

/** MQTT 5, in which the broker says that it refuses a message. */
function tryBroker(
  username: string,
  password: string,
  options: IClientOptions & { url?: string } = {},
): Promise<Tried> {
  const { url = `mqtts://localhost:${here.machine.brokerPort}`, ...further } = options;
  const client = connect(url, {
    username,
    password,
    ca: ca(),
    reconnectPeriod: 0,
    protocolVersion: 5,
    ...further,
  });
  clients.push(client);
  return new Promise((resolve) => {
    client.once("connect", () => resolve({ client, refused: null }));
    client.once("error", ({ message }) => resolve({ client: null, refused: message }));
    client.once("close", () => resolve({ client: null, refused: "closed" }));
  });
}

async function atBroker(username: string, password: string): Promise<MqttClient> {
  const { client, refused } = await tryBroker(username, password);
  if (client === null) throw new Error(`${username}: ${refused}`);
  return client;
}

/** What central hears from now on. */
async function central(): Promise<Map<string, string>> {
  const heard = new Map<string, string>();
  const client = await atBroker("central", secretOf(join(here.places.secrets, "central-broker")));
  client.on("message", (topic, payload) => heard.set(topic, payload.toString()));
  await client.subscribeAsync("undercroft/#", { qos: 1 });
  return heard;
}

interface Answer {
  readonly status: number;
  readonly body: string;
}

function ask(user: string, password: string, path: string, form: Record<string, string> | string): Promise<Answer> {
  const body = typeof form === "string" ? form : new URLSearchParams(form).toString();
  return new Promise((resolve, reject) => {
    const url = `https://localhost:${here.machine.databasePort}${path}`;
    const headers = { "Content-Type": "application/x-www-form-urlencoded" };
    const sent = request(url, { method: "POST", headers, auth: `${user}:${password}`, ca: ca() }, async (answer) => {
      let said = "";
      for await (const part of answer) said += part;
      resolve({ status: answer.statusCode ?? 0, body: said });
    });
    sent.on("error", reject).end(body);
  });
}

const write = (board: string, password: string, lines: string) =>
  ask(board, password, "/write?db=undercroft&precision=s", lines);
const query = (user: string, password: string, q: string) => ask(user, password, "/query?db=undercroft", { q });
const asAdministrator = (q: string) => query("administrator", secretOf(join(here.places.secrets, "administrator")), q);

describe("a board that was enrolled", () => {
  it("is heard by the central view under its own name", async () => {
    const heard = await central();
    const board = await atBroker("elm-12", passwordAt("elm-12", "broker"));
    await board.publishAsync("undercroft/elm-12/state", "{}", { qos: 1, retain: true });
    await until("heard", () => heard.get("undercroft/elm-12/state") === "{}");
  });

  it("can neither write under another's name nor read it", async () => {
    const heard = await central();
    const board = await atBroker("elm-12", passwordAt("elm-12", "broker"));
    const others: string[] = [];
    board.on("message", (topic) => others.push(topic));
    await board.subscribeAsync("#");
    await expect(board.publishAsync("undercroft/oak-3/state", "forged", { qos: 1 })).rejects.toThrow("Not authorized");
    await expect(board.publishAsync("undercroft/state", "forged", { qos: 1 })).rejects.toThrow("Not authorized");
    const other = await atBroker("oak-3", passwordAt("oak-3", "broker"));
    await other.publishAsync("undercroft/oak-3/state", "true", { qos: 1 });
    await until("heard", () => heard.has("undercroft/oak-3/state"));
    expect(heard.get("undercroft/oak-3/state")).toBe("true");
    expect(others).toEqual([]);
  });

  it("can say what boards say, and fill the broker with nothing else", async () => {
    const board = await atBroker("elm-12", passwordAt("elm-12", "broker"));
    const topics = [
      ...["status", "state", "cycle", "site", "health", "summary", "alarms"],
      ...findingKinds.map((k) => `finding/${k}`),
    ];
    for (const topic of topics) await board.publishAsync(`undercroft/elm-12/${topic}`, "{}", { qos: 1 });
    for (const topic of ["finding/flood-1", "flood", "state/1", "site/a/b"]) {
      const published = board.publishAsync(`undercroft/elm-12/${topic}`, "x", { qos: 1, retain: true });
      await expect(published, topic).rejects.toThrow("Not authorized");
    }
  });

  it.each(["acknowledge", "shelve"])(
    "hears what is asked of its own alarms from the central view alone, and takes it back: %s",
    async (order) => {
      const board = await atBroker("elm-12", passwordAt("elm-12", "broker"));
      const other = await atBroker("oak-3", passwordAt("oak-3", "broker"));
      const view = await atBroker("central", secretOf(join(here.places.secrets, "central-broker")));
      const heard: string[] = [];
      board.on("message", (topic, payload) => heard.push(`${topic} ${payload}`));
      await board.subscribeAsync(`undercroft/elm-12/${order}/+`, { qos: 1 });
      const answer = (by: MqttClient, name: string, alarm = "high-water") =>
        by.publishAsync(`undercroft/${name}/${order}/${alarm}`, by === view ? "yes" : "", { qos: 1, retain: true });
      await expect(answer(other, "elm-12")).rejects.toThrow("Not authorized");
      await expect(answer(view, "elm-12", "flood-1")).rejects.toThrow("Not authorized");
      await answer(view, "elm-12");
      await until("heard", () => heard.includes(`undercroft/elm-12/${order}/high-water yes`));
      await answer(board, "elm-12");
      await expect(view.publishAsync("undercroft/elm-12/state", "forged", { qos: 1 })).rejects.toThrow(
        "Not authorized",
      );
    },
  );

  it("is refused with a wrong password, with none, and without TLS", async () => {
    expect((await tryBroker("elm-12", "guessed")).refused).toContain("Not authorized");
    expect((await tryBroker("elm-12", passwordAt("oak-3", "broker"))).refused).toContain("Not authorized");
    expect((await tryBroker("", "")).refused).toContain("Not authorized");
    const plain = { url: `mqtt://localhost:${here.machine.brokerPort}` };
    expect((await tryBroker("elm-12", passwordAt("elm-12", "broker"), plain)).client).toBeNull();
    await expect(fetch(`http://127.0.0.1:${here.machine.databasePort}/ping`)).resolves.toMatchObject({ status: 400 });
  });

  it("does not trust a machine that another authority vouches for", async () => {
    const nobody = await tryBroker("elm-12", passwordAt("elm-12", "broker"), { ca: [] });
    expect(nobody.refused).toMatch(/certificate/);
  });

  it("writes to the database, and neither reads nor changes it", async () => {
    const password = passwordAt("elm-12", "database");
    expect((await write("elm-12", password, `reading,basin=elm-12 level=310i ${now_s}`)).status).toBe(204);
    const read = await query("elm-12", password, "SELECT * FROM reading");
    expect(read.status === 403 || read.body.includes("not authorized")).toBe(true);
    for (const change of ["DROP MEASUREMENT reading", "CREATE USER x WITH PASSWORD 'y' WITH ALL PRIVILEGES"]) {
      expect((await query("elm-12", password, change)).body).toMatch(/not authorized|requires admin/);
    }
    const found = await asAdministrator("SELECT level FROM reading");
    expect(found.body).toContain("310");
  });

  it("is refused by the database with a wrong password or none", async () => {
    const line = `reading,basin=elm-12 level=1i ${now_s}`;
    expect((await write("elm-12", "guessed", line)).status).toBe(401);
    expect((await write("elm-12", passwordAt("oak-3", "database"), line)).status).toBe(401);
    expect((await write("", "", line)).status).toBe(401);
  });
});

describe("the central view's account", () => {
  it("reads the database and does not write to it", async () => {
    const password = secretOf(join(here.places.secrets, "central-database"));
    expect((await query("central", password, "SELECT * FROM reading")).status).toBe(200);
    expect((await write("central", password, `reading,basin=elm-12 level=1i ${now_s}`)).status).toBe(403);
  });
});

describe("the file for a board", () => {
  it("holds sections that name the machine, the authority and the passwords that are taken", async () => {
    const [bundle = ""] = await enrol(here.places, [{ name: "elm-12" }]);
    const read = (file: string) =>
      execFileSync("tar", ["-xOf", bundle, `etc/undercroft/central/${file}`], { encoding: "utf8" });
    const { publish, forward } = parse(read("sections.yaml"));
    expect(publish.mqtt).toMatchObject({
      url: `mqtts://localhost:${here.machine.brokerPort}`,
      username: "elm-12",
      topic_prefix: "undercroft/elm-12",
    });
    expect(forward).toMatchObject({ url: `https://localhost:${here.machine.databasePort}`, basin: "elm-12" });
    expect(read("ca.pem")).toBe(ca().toString());
    await atBroker("elm-12", read("broker-password").trim());
    const line = `reading,basin=elm-12 level=311i ${now_s}`;
    expect((await write("elm-12", read("database-password").trim(), line)).status).toBe(204);
  });
});

describe("a board that was given its file", () => {
  const running: ChildProcess[] = [];
  afterAll(() => {
    for (const child of running) child.kill();
  });
  const program = resolve(import.meta.dirname, "../../daemon/undercroft.js");

  /** Back when it says where its page is. */
  async function undercroft(...args: string[]): Promise<void> {
    const child = spawn(process.execPath, [program, ...args], { stdio: ["ignore", "pipe", "inherit"] });
    running.push(child);
    for await (const line of createInterface({ input: child.stdout })) {
      if (!/https?:\/\//.test(line)) continue;
      child.stdout.resume();
      return;
    }
    throw new Error(`${args.join(" ")} ended before it said where its page is`);
  }

  it("is on the page of all basins, and its record behind it", { timeout: 60_000 }, async () => {
    const [bundle = ""] = await enrol(here.places, [{ name: "lime-5", words: { title: "Lime Street 5" } }]);
    await here.reloadBroker();
    const board = join(here.places.root, "board");
    mkdirSync(board);
    execFileSync("tar", ["-C", board, "-xf", bundle]);
    const sections = readFileSync(join(board, "etc/undercroft/central/sections.yaml"), "utf8");
    const site = join(board, "site.yaml");
    const sample = parse(readFileSync(resolve(import.meta.dirname, "../../deploy/sites/us-round-basin.yaml"), "utf8"));
    const sources = [{ kind: "simulated", name: "demo", speed: 2000 }];
    const where = { server: { port: 0 }, store: { path: join(board, "readings.sqlite") } };
    const own = stringify({ ...sample, ...where, sources, publish: undefined });
    writeFileSync(site, own + sections);
    expect(loadSiteFile(site)).toMatchObject({ ok: true });

    // Without systemd nobody hands the passwords over: they are read where they lie.
    const whereTheyLie = (text: string) =>
      text
        .replaceAll("/run/credentials/undercroft.service/", join(board, "etc/undercroft/central/"))
        .replaceAll(" /etc/undercroft", ` ${board}/etc/undercroft`);
    writeFileSync(site, own + whereTheyLie(sections));
    await undercroft("run", "--site", site);
    await undercroft("run", "--central", here.places.centralFile);

    const staff = { name: "staff", password: secretOf(join(here.places.secrets, "staff")) };
    const page = await watchPage({ port: here.machine.pagePort, ca: ca(), ...staff });
    let overview: OverviewAnswer = await page.whole();
    let cycles: CyclesAnswer["cycles"] = [];
    await until("its cycles are there", async () => {
      overview = await page.whole();
      const path = `/basins/lime-5/api/cycles?from_s=0&to_s=${Math.round(Date.now() / 1000) + 1e7}&limit=10`;
      ({ cycles = [] } = await page.ask<CyclesAnswer>(path));
      return cycles.length >= 3;
    });
    page.close();
    const row = overview.rows.find(({ name }) => name === "lime-5");
    expect(row).toMatchObject({ title: "Lime Street 5", enrolled: true, connected: true });
  });
});

describe("what comes later", () => {
  it("set-up and enrolment, run again, change no password and cut no connection", async () => {
    const before = passwordAt("oak-3", "broker");
    const board = await atBroker("oak-3", before);
    await makeConfiguration(here.places, {});
    await prepareDatabase(here.places);
    await enrol(here.places, [{ name: "oak-3" }]);
    await here.reloadBroker();
    expect(passwordAt("oak-3", "broker")).toBe(before);
    await board.publishAsync("undercroft/oak-3/state", "still here", { qos: 1 });
    expect(
      (await write("oak-3", passwordAt("oak-3", "database"), `reading,basin=oak-3 level=1i ${now_s}`)).status,
    ).toBe(204);
  });

  it("a database that was put back from a copy, which has no accounts, knows its boards again once it is prepared", async () => {
    const line = `reading,basin=oak-3 level=1i ${now_s}`;
    await asAdministrator('DROP USER "oak-3"');
    expect((await write("oak-3", passwordAt("oak-3", "database"), line)).status).toBe(401);
    await prepareDatabase(here.places);
    expect((await write("oak-3", passwordAt("oak-3", "database"), line)).status).toBe(204);
  });

  it("a board with new passwords is let in with these alone", async () => {
    await enrol(here.places, [{ name: "ash-1" }]);
    await here.reloadBroker();
    const old = { broker: passwordAt("ash-1", "broker"), database: passwordAt("ash-1", "database") };
    const board = await atBroker("ash-1", old.broker);
    await renew(here.places, "ash-1");
    await here.reloadBroker();
    await until("the old connection is closed", () => !board.connected);
    expect((await tryBroker("ash-1", old.broker)).refused).toContain("Not authorized");
    await atBroker("ash-1", passwordAt("ash-1", "broker"));
    const line = `reading,basin=ash-1 level=1i ${now_s}`;
    expect((await write("ash-1", old.database, line)).status).toBe(401);
    expect((await write("ash-1", passwordAt("ash-1", "database"), line)).status).toBe(204);
  });

  it("a board that is removed is let in nowhere, and its record stays", async () => {
    await enrol(here.places, [{ name: "fir-9" }]);
    await here.reloadBroker();
    const old = { broker: passwordAt("fir-9", "broker"), database: passwordAt("fir-9", "database") };
    await write("fir-9", old.database, `reading,basin=fir-9 level=77i ${now_s}`);
    await remove(here.places, "fir-9");
    await here.reloadBroker();
    expect((await tryBroker("fir-9", old.broker)).refused).toContain("Not authorized");
    expect((await write("fir-9", old.database, `reading,basin=fir-9 level=1i ${now_s}`)).status).toBe(401);
    expect((await asAdministrator("SELECT level FROM reading WHERE basin = 'fir-9'")).body).toContain("77");
    await expect(renew(here.places, "fir-9")).rejects.toThrow("not enrolled here");
  });

  it("new certificates are taken up by the broker while boards stay connected", async () => {
    const board = await atBroker("oak-3", passwordAt("oak-3", "broker"));
    expect(keepAllCertificates(here.places, here.machine, { anyway: true })).toContain("broker");
    await here.reloadBroker();
    await board.publishAsync("undercroft/oak-3/state", "still here", { qos: 1 });
    await atBroker("oak-3", passwordAt("oak-3", "broker"));
  });
});
