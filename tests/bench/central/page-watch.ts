// A browser that has the overview open: logs in, reads its events as they come, and notes how old what they show is.

import type { IncomingMessage } from "node:http";
import { type RequestOptions, request } from "node:https";
import { createGunzip } from "node:zlib";
import type { OverviewAnswer, OverviewChanges } from "../../../daemon/central/central-types.ts";
import type { Moment } from "./ages.ts";
import { numberOf } from "./board-names.ts";

export interface PageWatch {
  /** Each level when it came to the page, since the last `forget()`. */
  readonly levels: readonly Moment[];
  /** Age of each alarm then. */
  readonly alarms_ms: number[];
  readonly bytes: number;
  forget(): void;
  whole(): Promise<OverviewAnswer>;
  ask<Answer>(path: string): Promise<Answer>;
  close(): void;
}

export interface Page {
  readonly port: number;
  readonly ca: Buffer;
  readonly name: string;
  readonly password: string;
}

export async function watchPage(page: Page): Promise<PageWatch> {
  const cookie = await logIn(page);
  const watch = { levels: [] as Moment[], alarms_ms: [] as number[], bytes: 0 };
  const seen = new Set<string>();
  const events = await send(page, { path: "/api/overview/events", headers: { cookie, "accept-encoding": "gzip" } });
  if (events.statusCode !== 200) throw new Error(`events: status ${events.statusCode}`);
  events.on("data", (part: Buffer) => {
    watch.bytes += part.length;
  });
  const text = events.headers["content-encoding"] === "gzip" ? events.pipe(createGunzip()) : events;
  text.on("error", () => {});
  events.on("error", () => {});
  let rest = "";
  text.setEncoding("utf8").on("data", (part: string) => {
    const now_ms = performance.timeOrigin + performance.now();
    const blocks = (rest + part).split("\n\n");
    rest = blocks.pop() ?? "";
    for (const block of blocks) note(block, now_ms);
  });

  function note(block: string, now_ms: number): void {
    if (!block.includes("event: changes")) return;
    const data = /^data: (.*)$/m.exec(block)?.[1];
    const { pulses, rows } = JSON.parse(data ?? "") as OverviewChanges;
    for (const [name, level_m] of pulses) {
      if (level_m !== null) watch.levels.push([numberOf(name), level_m, now_ms]);
    }
    for (const { name, conditions } of rows) {
      const alarm = conditions.find(({ kind }) => kind === "high-water");
      const key = `${name} ${alarm?.since_s}`;
      if (alarm === undefined || alarm.since_s === null || seen.has(key)) continue;
      seen.add(key);
      watch.alarms_ms.push(now_ms - alarm.since_s * 1000);
    }
  }

  const ask = async <Answer>(path: string): Promise<Answer> => {
    const answer = await send(page, { path, headers: { cookie } });
    return JSON.parse(await textOf(answer)) as Answer;
  };
  return {
    get levels() {
      return watch.levels;
    },
    get alarms_ms() {
      return watch.alarms_ms;
    },
    get bytes() {
      return watch.bytes;
    },
    forget() {
      Object.assign(watch, { levels: [], alarms_ms: [], bytes: 0 });
    },
    whole: () => ask<OverviewAnswer>("/api/overview"),
    ask,
    close: () => events.destroy(),
  };
}

async function logIn(page: Page): Promise<string> {
  const body = JSON.stringify({ name: page.name, password: page.password });
  const headers = { "content-type": "application/json" };
  const answer = await send(page, { path: "/api/session", method: "POST", headers }, body);
  const said = await textOf(answer);
  const cookie = answer.headers["set-cookie"]?.[0]?.split(";")[0];
  if (cookie === undefined) throw new Error(`log-in: status ${answer.statusCode}: ${said}`);
  return cookie;
}

function send({ port, ca }: Page, options: RequestOptions, body?: string): Promise<IncomingMessage> {
  return new Promise((resolve, reject) => {
    request({ host: "127.0.0.1", port, ca, agent: false, ...options }, resolve)
      .on("error", reject)
      .end(body);
  });
}

async function textOf(answer: IncomingMessage): Promise<string> {
  let text = "";
  for await (const part of answer) text += part;
  return text;
}
