// Debian's influxd on a loopback port of its own, with a configuration and a data folder of its own, for one test file.

import { type ChildProcess, spawn } from "node:child_process";
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { setTimeout as sleep } from "node:timers/promises";
import { freePort } from "./free-port.ts";

export interface Influxd {
  readonly port: number;
  /** Address, without a user in it. */
  readonly url: string;
  /** Of its data. */
  readonly folder: string;
  /** Asks or changes something, as its administrator where there are users; the answer as it comes, times in microseconds. */
  query(text: string, database?: string): Promise<QueryAnswer>;
  /** As a power cut would end it. */
  kill(): Promise<void>;
  /** On the same port, with what it had kept. */
  start(): Promise<void>;
  /** For good, with its folder. */
  dispose(): Promise<void>;
}

export interface QueryAnswer {
  readonly results: readonly {
    readonly series?: readonly {
      readonly name: string;
      readonly tags?: Readonly<Record<string, string>>;
      readonly columns: readonly string[];
      readonly values: readonly (readonly (string | number | boolean | null)[])[];
    }[];
    readonly error?: string;
  }[];
}

export interface InfluxdOptions {
  /** Makes this user its administrator, and lets nobody in without a password. */
  readonly admin?: { readonly user: string; readonly password: string };
  /** Files, PEM. Its own `query` then takes any certificate. */
  readonly tls?: { readonly cert: string; readonly key: string };
  /** Further lines of the sections of its configuration: `{ http: ["max-body-size = 1000"] }`. */
  readonly lines?: Readonly<Record<string, readonly string[]>>;
}

const program = "/usr/bin/influxd";

export async function startInfluxd(options: InfluxdOptions = {}): Promise<Influxd> {
  const { admin, tls } = options;
  const [port, rpcPort] = await Promise.all([freePort(), freePort()]);
  const folder = mkdtempSync(join(tmpdir(), "undercroft-influxd-"));
  const file = join(folder, "influxdb.conf");
  writeFileSync(file, configuration(folder, port, rpcPort, options));
  const url = `${tls === undefined ? "http" : "https"}://127.0.0.1:${port}`;
  let child: ChildProcess | null = null;
  const server: Influxd = {
    port,
    url,
    folder,
    query: (text, database) =>
      ask(url, text, { ...(database !== undefined && { db: database }), ...credentials(admin) }),
    async start() {
      child = spawn(program, ["-config", file], { stdio: ["ignore", "ignore", "pipe"], env: withoutItsOwn() });
      await answering(child, url);
    },
    async kill() {
      const ended = child;
      child = null;
      if (ended === null || ended.exitCode !== null) return;
      const exit = new Promise((resolve) => ended.once("exit", resolve));
      ended.kill("SIGKILL");
      await exit;
    },
    async dispose() {
      await server.kill();
      rmSync(folder, { recursive: true, force: true });
    },
  };
  await server.start();
  if (admin !== undefined) {
    await ask(url, `CREATE USER ${admin.user} WITH PASSWORD '${admin.password}' WITH ALL PRIVILEGES`, {});
  }
  return server;
}

function configuration(folder: string, port: number, rpcPort: number, { admin, tls, lines = {} }: InfluxdOptions) {
  const path = (name: string) => JSON.stringify(join(folder, name));
  const sections: Record<string, string[]> = {
    meta: [`dir = ${path("meta")}`],
    data: [`dir = ${path("data")}`, `wal-dir = ${path("wal")}`, "query-log-enabled = false"],
    monitor: ["store-enabled = false"],
    http: [`bind-address = "127.0.0.1:${port}"`, `auth-enabled = ${admin !== undefined}`, "log-enabled = false"],
    logging: ['level = "error"'],
  };
  if (tls !== undefined) {
    const files = [`https-certificate = ${JSON.stringify(tls.cert)}`, `https-private-key = ${JSON.stringify(tls.key)}`];
    sections.http?.push("https-enabled = true", ...files);
  }
  for (const [name, more] of Object.entries(lines)) sections[name] = [...(sections[name] ?? []), ...more];
  const text = Object.entries(sections).map(([name, entries]) => [`[${name}]`, ...entries, ""].join("\n"));
  return ["reporting-disabled = true", `bind-address = "127.0.0.1:${rpcPort}"`, "", ...text].join("\n");
}

/** A variable of the environment would go over its configuration. */
function withoutItsOwn(): NodeJS.ProcessEnv {
  return Object.fromEntries(Object.entries(process.env).filter(([name]) => !name.startsWith("INFLUXDB_")));
}

function credentials(admin: InfluxdOptions["admin"]): Record<string, string> {
  return admin === undefined ? {} : { u: admin.user, p: admin.password };
}

async function answering(child: ChildProcess, url: string): Promise<void> {
  let said = "";
  child.stderr?.on("data", (text) => {
    said += text;
  });
  for (let tries = 0; tries < 800; tries++) {
    if (child.exitCode !== null) throw new Error(`${program} ended with code ${child.exitCode}: ${said}`);
    if (await pings(url)) return;
    await sleep(25);
  }
  throw new Error(`${program} does not answer at ${url}: ${said}`);
}

async function pings(url: string): Promise<boolean> {
  try {
    return (await request(new URL("/ping", url), "GET", "")).status === 204;
  } catch {
    return false;
  }
}

async function ask(url: string, text: string, parameters: Record<string, string>): Promise<QueryAnswer> {
  const target = new URL(`/query?${new URLSearchParams({ epoch: "u", ...parameters })}`, url);
  const { status, body } = await request(target, "POST", new URLSearchParams({ q: text }).toString());
  if (status !== 200) throw new Error(`${text}: status ${status}: ${body}`);
  const answer = JSON.parse(body) as QueryAnswer;
  for (const { error } of answer.results) if (error !== undefined) throw new Error(`${text}: ${error}`);
  return answer;
}

async function request(target: URL, method: string, body: string): Promise<{ status: number; body: string }> {
  const { request: send } = target.protocol === "https:" ? await import("node:https") : await import("node:http");
  return new Promise((resolve, reject) => {
    const headers = { "Content-Type": "application/x-www-form-urlencoded" };
    const sent = send(target, { method, headers, rejectUnauthorized: false, agent: false }, (answer) => {
      let said = "";
      answer.setEncoding("utf8");
      answer.on("data", (part) => {
        said += part;
      });
      answer.on("end", () => resolve({ status: answer.statusCode ?? 0, body: said }));
      answer.on("error", reject);
    });
    sent.on("error", reject);
    sent.end(body);
  });
}
