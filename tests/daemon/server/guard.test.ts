import { afterEach, describe, expect, it } from "vitest";
import { buildServer } from "../../../daemon/server/build-server.ts";
import type { Server } from "../../../daemon/server/server-parts.ts";
import { testParts } from "./parts.ts";

let server: Server | undefined;
afterEach(() => server?.close());

async function ask(method: "GET" | "POST", host: string, alsoCalled: string | null = null): Promise<number> {
  await server?.close();
  server = buildServer({ ...testParts(), host: "0.0.0.0", alsoCalled });
  const payload = { alarm: "high-water", act: "out-of-service" };
  const body = method === "POST" ? { payload } : {};
  return (await server.inject({ method, url: "/api/alarms/act", headers: { host }, ...body })).statusCode;
}

describe("a board that the house's other machines see", () => {
  // 409: past the door, and nobody is called from there.
  it.each(["192.168.1.20:8047", "[fd00::1]:8047", "basin", "basin:8047", "Basin.local:8047", "basin.home.arpa"])(
    "does what is asked of it as %s",
    async (host) => expect(await ask("POST", host)).toBe(409),
  );

  it.each(["evil.example", "192.168.1.20.evil.example:8047", "evil.local.example", "local.example", "basin.example."])(
    "does nothing as %s, which a page elsewhere may have resolved to it",
    async (host) => expect(await ask("POST", host)).toBe(403),
  );

  it("does as its page's address, and can be read under any", async () => {
    expect(await ask("POST", "basin.example:8047", "basin.example")).toBe(409);
    expect(await ask("GET", "basin.example")).toBe(404);
  });
});
