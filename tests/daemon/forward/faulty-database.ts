// A database that behaves as badly as a test wants: each request is answered by what the test has put there.

import { createServer, type IncomingMessage, type ServerResponse } from "node:http";
import type { AddressInfo } from "node:net";
import { text } from "node:stream/consumers";
import { createGunzip } from "node:zlib";
import { onTestFinished } from "vitest";

export interface Reply {
  readonly status: number;
  readonly body?: string;
  readonly headers?: Readonly<Record<string, string>>;
}

export interface FaultyDatabase {
  readonly url: string;
  /** Lines of all points that were taken, each once. */
  readonly taken: ReadonlySet<string>;
  /** Points in each write to the large database, taken or not. */
  readonly writes: readonly number[];
  /** How it answers a write of these lines; `undefined` takes them, `null` breaks the connection off. */
  behave(reply: (lines: readonly string[]) => Reply | null | undefined): void;
  /** The clock of the server, by which it dates its answers. */
  setClock(now_s: () => number): void;
  answerQueriesWith(reply: Reply): void;
}

export async function startFaultyDatabase(): Promise<FaultyDatabase> {
  const taken = new Set<string>();
  const writes: number[] = [];
  let reply: (lines: readonly string[]) => Reply | null | undefined = () => undefined;
  let now_s = () => Date.now() / 1000;
  let toQueries: Reply | null = null;
  const claims: string[][] = [];

  const server = createServer({ keepAliveTimeout: 60_000 }, (request, response) => {
    void answer(request, response);
  });

  async function answer(request: IncomingMessage, response: ServerResponse): Promise<void> {
    response.sendDate = false;
    response.setHeader("Date", new Date(now_s() * 1000).toUTCString());
    const { pathname, searchParams } = new URL(request.url ?? "", "http://localhost");
    const isZipped = request.headers["content-encoding"] === "gzip";
    const lines = (await text(isZipped ? request.pipe(createGunzip()) : request)).split("\n");
    if (pathname === "/query") return end(response, toQueries ?? asked(lines.join()));
    if (searchParams.get("db") !== "undercroft") {
      const [, basin = "", board = ""] = /^claim,basin=([^,]+),board=(\w+)/.exec(lines[0] ?? "") ?? [];
      if (board !== "") claims.push([basin, board]);
      return end(response, { status: 204 });
    }
    writes.push(lines.length);
    const told = reply(lines);
    if (told === null) {
      request.socket.destroy();
      return;
    }
    if (told === undefined) for (const line of lines) taken.add(line);
    end(response, told ?? { status: 204 });
  }

  /** It keeps the names that were claimed, and nothing else that may be asked for. */
  function asked(query: string): Reply {
    const columns = ["basin", "board"];
    const series = query.includes("claim") && claims.length > 0 ? [{ name: "claim", columns, values: claims }] : [];
    return { status: 200, body: JSON.stringify({ results: [{ statement_id: 0, series }] }) };
  }

  function end(response: ServerResponse, { status, body = "", headers = {} }: Reply): void {
    response.writeHead(status, headers).end(body);
  }

  await new Promise<void>((resolve) => server.listen(0, "127.0.0.1", resolve));
  onTestFinished(() => {
    server.closeAllConnections();
    server.close();
  });
  return {
    url: `http://127.0.0.1:${(server.address() as AddressInfo).port}`,
    taken,
    writes,
    behave(next) {
      reply = next;
    },
    setClock(next) {
      now_s = next;
    },
    answerQueriesWith(next) {
      toQueries = next;
    },
  };
}
