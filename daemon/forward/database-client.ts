// Talks to the shared database over HTTP: points in the line protocol, compressed, and questions. One connection that is
// kept; what an answer means is answer-in-words.ts.

import { Agent as HttpAgent, request as httpRequest, type IncomingMessage } from "node:http";
import { Agent as HttpsAgent, request as httpsRequest } from "node:https";
import { promisify } from "node:util";
import { gzip } from "node:zlib";
import { type DatabaseConnection, readCredentials } from "../stores/influx/connection.ts";
import { networkTrouble } from "./network-trouble.ts";
import { Trouble } from "./trouble.ts";

export interface Answer {
  readonly status: number;
  readonly body: string;
  /** The server's clock, to the second. */
  readonly date_s: number | null;
  readonly retryAfter_s: number | null;
}

export interface DatabaseClient {
  /** @throws {Trouble} when there is no answer */
  write(policy: string, lines: string, database?: string): Promise<Answer>;
  query(text: string, database?: string): Promise<Answer>;
  /** Bytes that went out, of heads and bodies. */
  sent_B(): number;
  close(): void;
}

const compress = promisify(gzip);
/** An answer that is longer is none of the database's. */
const longestAnswer = 16 * 1024 * 1024;

export function databaseClient(connection: DatabaseConnection, baseFolder: string): DatabaseClient {
  const { url, database, username, timeout } = connection;
  const isTls = new URL(url).protocol === "https:";
  const stopped = new AbortController();
  let open: { readonly agent: HttpAgent | HttpsAgent; readonly authorization: string | undefined } | null = null;
  let sent_B = 0;

  /** Files are read anew after each fault, for they may have been put right. */
  function opened() {
    if (open !== null) return open;
    const { password, ca } = readCredentials(connection, baseFolder);
    const options = { keepAlive: true, maxSockets: 1, noDelay: true };
    const authorization =
      username === undefined ? undefined : `Basic ${Buffer.from(`${username}:${password ?? ""}`).toString("base64")}`;
    open = {
      agent: isTls ? new HttpsAgent({ ...options, ...(ca !== undefined && { ca }) }) : new HttpAgent(options),
      authorization,
    };
    return open;
  }

  function shut(): void {
    open?.agent.destroy();
    open = null;
  }

  async function post(path: string, parameters: Record<string, string>, body: Buffer, head: Record<string, string>) {
    try {
      const { agent, authorization } = opened();
      const target = new URL(url);
      target.pathname = `${target.pathname.replace(/\/$/, "")}${path}`;
      target.search = new URLSearchParams(parameters).toString();
      const headers = {
        ...head,
        "Content-Length": body.length,
        ...(authorization && { Authorization: authorization }),
      };
      const signal = AbortSignal.any([stopped.signal, AbortSignal.timeout(timeout * 1000)]);
      const answer = await new Promise<Answer>((resolve, reject) => {
        const send = isTls ? httpsRequest : httpRequest;
        const sent = send(target, { method: "POST", agent, headers, signal }, (answer) => {
          readAnswer(answer).then(resolve, reject);
        });
        sent.on("error", reject);
        sent.on("close", () => {
          sent_B += body.length + headLength(sent.getHeaders(), sent.path);
        });
        sent.end(body);
      });
      if (answer.status === 401) shut();
      return answer;
    } catch (error) {
      shut();
      throw error instanceof Trouble ? error : networkTrouble(error, connection);
    }
  }

  return {
    async write(policy, lines, where = database) {
      const parameters = { db: where, rp: policy, precision: "ns" };
      const body = await compress(lines, { level: 6 });
      const head = { "Content-Type": "text/plain; charset=utf-8", "Content-Encoding": "gzip" };
      return post("/write", parameters, body, head);
    },
    async query(text, where = database) {
      const body = Buffer.from(new URLSearchParams({ q: text }).toString());
      return post("/query", { db: where, epoch: "u" }, body, { "Content-Type": "application/x-www-form-urlencoded" });
    },
    sent_B: () => sent_B,
    close() {
      stopped.abort();
      shut();
    },
  };
}

async function readAnswer(answer: IncomingMessage): Promise<Answer> {
  let body = "";
  answer.setEncoding("utf8");
  for await (const part of answer) {
    body += part;
    if (body.length > longestAnswer) throw new Error("the answer has no end");
  }
  const date_ms = Date.parse(answer.headers.date ?? "");
  const retryAfter_s = Number(answer.headers["retry-after"] ?? Number.NaN);
  return {
    status: answer.statusCode ?? 0,
    body,
    date_s: Number.isNaN(date_ms) ? null : date_ms / 1000,
    retryAfter_s: retryAfter_s >= 0 ? retryAfter_s : null,
  };
}

function headLength(headers: NodeJS.Dict<unknown>, path: string): number {
  const lines = Object.entries(headers).map(([name, value]) => `${name}: ${value}`);
  return [`POST ${path} HTTP/1.1`, ...lines, "Connection: keep-alive", "", ""].join("\r\n").length;
}
