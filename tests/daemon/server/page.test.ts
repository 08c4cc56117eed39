import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { buildServer } from "../../../daemon/server/build-server.ts";
import type { Server } from "../../../daemon/server/server-parts.ts";
import { testParts } from "./parts.ts";

let folder: string;
let server: Server;

beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), "page-"));
  writeFileSync(join(folder, "secret.txt"), "not for the page");
  server = buildServer(testParts({ pageFolder: join(folder, "dist") }));
});
afterEach(async () => {
  await server.close();
  rmSync(folder, { recursive: true });
});

function build(): void {
  mkdirSync(join(folder, "dist", "assets"), { recursive: true });
  writeFileSync(join(folder, "dist", "index.html"), "<!doctype html><title>Undercroft</title>");
  writeFileSync(join(folder, "dist", "assets", "main-1a2b.js"), "plain");
  writeFileSync(join(folder, "dist", "assets", "main-1a2b.js.br"), "as brotli");
  writeFileSync(join(folder, "dist", "assets", "main-1a2b.js.gz"), "as gzip");
}

const get = (url: string, encodings = "") =>
  server.inject({ url, headers: { host: "localhost", "accept-encoding": encodings } });

describe("the page", () => {
  it("says how to build it, and that the daemon works, when it is not built", async () => {
    const answer = await get("/");
    expect(answer.statusCode).toBe(503);
    expect(answer.headers["content-type"]).toContain("text/plain");
    expect(answer.body).toContain("npm run build");
  });

  it("is there as soon as it is built", async () => {
    build();
    const answer = await get("/");
    expect([answer.statusCode, answer.headers["content-type"]]).toEqual([200, "text/html; charset=utf-8"]);
    expect(answer.headers["cache-control"]).toBe("no-cache");
  });

  it.each([
    ["gzip, deflate, br", "as brotli", "br"],
    ["gzip", "as gzip", "gzip"],
    ["", "plain", undefined],
  ])("comes in the smallest form for a browser that takes %j", async (encodings, body, encoding) => {
    build();
    const answer = await get("/assets/main-1a2b.js", encodings);
    expect([answer.body, answer.headers["content-encoding"]]).toEqual([body, encoding]);
    expect(answer.headers["content-type"]).toBe("text/javascript; charset=utf-8");
    expect(answer.headers["cache-control"]).toContain("immutable");
  });

  it.each(["/../secret.txt", "/%2e%2e/secret.txt", "/assets/..%2f..%2fsecret.txt", "/nothing.js"])(
    "serves nothing outside its folder: %s",
    async (url) => {
      build();
      const answer = await get(url);
      expect(answer.statusCode).toBe(404);
      expect(answer.body).not.toContain("not for the page");
    },
  );
});
