import { connect } from "node:net";
import { text } from "node:stream/consumers";
import { afterEach, describe, expect, it } from "vitest";
import { buildServer } from "../../../daemon/server/build-server.ts";
import type { Server, ServerParts } from "../../../daemon/server/server-parts.ts";
import { cycle, finding, site, testParts } from "./parts.ts";

let server: Server | undefined;
afterEach(async () => {
  await server?.close();
});

function build(changes: Partial<ServerParts> = {}): Server {
  server = buildServer(testParts(changes));
  return server;
}

async function ask(url: string, changes: Partial<ServerParts> = {}) {
  const answer = await build(changes).inject({ url, headers: { host: "localhost:8047" } });
  return { status: answer.statusCode, headers: answer.headers, body: answer.json() };
}

describe("the API's answers", () => {
  it("says what the site is", async () => {
    const { status, body } = await ask("/api/site");
    expect(status).toBe(200);
    expect(body).toEqual({ site, invented: false, playing: null, version: "1.2.3" });
  });

  it("says what is true now, and writes infinitely many degrees of freedom as 1e9", async () => {
    const { body } = await ask("/api/state");
    expect(body.situation.openFindings).toEqual([finding]);
    expect(body.situation.inflow.degreesOfFreedom).toBe(1e9);
    expect(body.store.state).toBe("writing");
  });

  it("gives every reading of the last day when no span is asked for", async () => {
    const { body } = await ask("/api/level");
    expect(body.bucket_s).toBe(0);
    expect(body.time_s).toHaveLength(61);
    expect(body.mean_m[60]).toBeCloseTo(0.16, 9);
  });

  it("gives only what lies in the span", async () => {
    const { body } = await ask("/api/level?from_s=600&to_s=1200");
    expect(body.time_s[0]).toBe(600);
    expect(body.time_s.at(-1)).toBe(1200);
  });

  it("says what makes the inflow uncertain, now and in a cycle, and that there is no such cycle", async () => {
    const of = { value: 1e-4, u: 1e-6, degreesOfFreedom: 1e9 };
    const now = (await ask("/api/budget")).body;
    expect(now).toMatchObject({ inflow: of, pumpRate: null });
    expect(now.inflow.u95).toBeCloseTo(1.959964e-6, 12);
    expect(now.inflow.lines).toMatchObject([{ source: "sensor-noise", type: "A", shared: false }]);
    expect((await ask("/api/budget?started_at_s=1000")).body).toMatchObject({ inflow: of });
    const none = await ask("/api/budget?started_at_s=1001");
    expect(none.status).toBe(404);
    expect(none.body.error).toBe("started_at_s: expected the beginning of a run in the record, found 1001");
  });

  it("gives cycles, findings and inflow of the whole record", async () => {
    const degreesOfFreedom = 1e9;
    expect((await ask("/api/cycles")).body).toEqual({
      cycles: [{ ...cycle, inflow: { ...cycle.inflow, degreesOfFreedom } }],
    });
    expect((await ask("/api/findings")).body).toEqual({ findings: [finding] });
    expect((await ask("/api/inflow")).body.stretches).toEqual([
      { from_s: 0, to_s: 1000, inflow_m3s: 1e-4, uInflow_m3s: 1e-6 },
    ]);
  });

  it("leaves out a cycle that lies outside the span", async () => {
    expect((await ask("/api/cycles?from_s=2000")).body).toEqual({ cycles: [] });
  });

  it("gives the report without its cycles to who needs only its figures", async () => {
    const { body } = await ask("/api/summary");
    expect(body).toMatchObject({ schema: "undercroft-report/1", totals: { starts: 1 } });
    expect(body).not.toHaveProperty("cycles");
  });

  it("gives what sizing reckons with: the summary, the inflow of the whole record, the last cycles", async () => {
    const { body } = await ask("/api/sizing");
    expect(body).toMatchObject({ summary: { schema: "undercroft-report/1" } });
    expect(body.inflow).toEqual([{ from_s: 0, to_s: 1000, inflow_m3s: 1e-4, uInflow_m3s: 1e-6 }]);
    expect(body.cycles).toMatchObject([{ startedAt_s: 1000, run_s: 20 }]);
    const { record, ...rest } = testParts();
    const cycles = async () => [{ ...cycle, startedAt_s: 3000 }, cycle]; // as the store gives them, newest first
    const two = (await ask("/api/sizing", { ...rest, record: { ...record, cycles } })).body.cycles;
    expect(two.map(({ startedAt_s }: { startedAt_s: number }) => startedAt_s)).toEqual([1000, 3000]);
  });

  it("writes the contract's report with the cycles of the store", async () => {
    const { body } = await ask("/api/report");
    expect(body.schema).toBe("undercroft-report/1");
    expect(body.totals.starts).toBe(1);
    expect(body.cycles).toHaveLength(1);
    expect(body.cycles[0]).toMatchObject({ started_at: "1970-01-01T00:16:40.000Z", run_s: 20, start_level_mm: 350 });
    expect(body.cycles[0].inflow.lpm).toBeCloseTo(6, 6); // 1e-4 m³/s is 6 L/min
  });
});

describe("what a bad request gets", () => {
  it.each([
    ["/api/level?points=many", 'points: expected a number, found "many"'],
    ["/api/level?points=0", "points: expected at least 1, found 0"],
    ["/api/level?points=", 'points: expected a number, found ""'],
    ["/api/level?from_s=1e99", "from_s: expected at most 8000000000000, found 1e+99"],
    ["/api/level?frm_s=5", "frm_s: unknown key; did you mean from_s?"],
    ["/api/level?from_s=5&from_s=6", "from_s: expected a number, found a list of 2"],
    ["/api/inflow?from_s=9&to_s=3", "to_s: expected at or after from_s (9), found 3"],
    ["/api/cycles?limit=1.5", "limit: expected a whole number, found 1.5"],
    ["/api/findings?limit=20000", "limit: expected at most 10000, found 20000"],
  ])("%s: %s", async (url, error) => {
    const { status, body } = await ask(url);
    expect(body).toEqual({ error });
    expect(status).toBe(400);
  });

  it("answers an unknown address of the API in JSON, and says where the known ones stand", async () => {
    const { status, body } = await ask("/api/nothing");
    expect(status).toBe(404);
    expect(body.error).toBe("GET /api/nothing: no such address; /api/openapi.json lists those there are");
  });

  it("says what failed when the store cannot answer, and lives on", async () => {
    const { record, ...rest } = testParts();
    const broken = () => {
      throw new Error("the disk is gone");
    };
    const failed = await ask("/api/cycles", { ...rest, record: { ...record, cycles: broken } });
    expect(failed.status).toBe(500);
    expect(failed.body).toEqual({ error: "the disk is gone" });
    expect((await server?.inject({ url: "/api/site", headers: { host: "localhost" } }))?.statusCode).toBe(200);
  });
});

describe("the speed of what is played", () => {
  const put = (payload: string, changes: Partial<ServerParts> = {}, type = "application/json") =>
    build(changes).inject({
      method: "PUT",
      url: "/api/speed",
      headers: { host: "localhost", "content-type": type },
      payload,
    });

  function playing() {
    let speed = 60;
    const set = (wanted: number) => {
      if (wanted < 1) throw new RangeError("the slowest is 1");
      speed = wanted;
    };
    return { speed: () => ({ get: () => speed, set, max: 10_000 }) };
  }

  it("is set and answered", async () => {
    const answer = await put('{"speed":1000}', playing());
    expect([answer.statusCode, answer.json()]).toEqual([200, { speed: 1000 }]);
  });

  it("is not to be had on a real basin", async () => {
    const answer = await put('{"speed":2}');
    expect([answer.statusCode, answer.json().error]).toEqual([
      409,
      "speed: nothing is being played; a real basin keeps its own time",
    ]);
  });

  it.each([
    ['{"speed":20000}', 400, "speed: expected at most 10000, found 20000"],
    ['{"speed":0.5}', 400, "speed: the slowest is 1"],
    ['{"speed":"fast"}', 400, 'speed: expected a number, found "fast"'],
    ['{"sped":5}', 400, "speed: expected a number, found nothing; sped: unknown key; did you mean speed?"],
    ['{"speed":', 400, "body: expected JSON, found something that is not"],
    ["", 400, "body: expected JSON of at most 10000 bytes, found nothing"],
    [`{"speed":${" ".repeat(20_000)}1}`, 413, "body: expected at most 10000 bytes, found 20011"],
  ])("%.30s gets %i", async (payload, status, error) => {
    const answer = await put(payload, playing());
    expect([answer.statusCode, answer.json()]).toEqual([status, { error }]);
  });

  it("takes nothing that a form of another page could send", async () => {
    const answer = await put("speed=5", playing(), "application/x-www-form-urlencoded");
    expect([answer.statusCode, answer.json().error]).toEqual([
      415,
      'content-type: expected application/json, found "application/x-www-form-urlencoded"',
    ]);
  });
});

describe("a request that is no request of the API", () => {
  it.each(["/api/state", "/api/site", "/api/report", "/api/openapi.json"])(
    "is told of a key that %s does not take",
    async (url) => {
      const { status, body } = await ask(`${url}?from=1`);
      expect([status, body]).toEqual([400, { error: "from: unknown key" }]);
    },
  );

  it("is told that its address is none", async () => {
    const { status, body } = await ask("/%");
    expect([status, Object.keys(body)]).toEqual([400, ["error"]]);
    expect(body.error).toMatch(/^address: expected a path .*, found "\/%"$/);
  });

  it("is told that it is too long, or no HTTP", async () => {
    const url = await build().listen({ host: "127.0.0.1", port: 0 });
    const tooLong = await fetch(`${url}/api/${"x".repeat(17_000)}`);
    expect([tooLong.status, await tooLong.json()]).toEqual([
      431,
      { error: "request: expected an address and headers of at most 16 kB together, found more" },
    ]);
    const socket = connect(Number(new URL(url).port), "127.0.0.1").end("hello\r\n\r\n");
    expect(await text(socket)).toMatch(/^HTTP\/1\.1 400 .*\{"error":"request: expected HTTP\/1\.1, found [^"]+"\}$/s);
  });
});

describe("the guard", () => {
  const status = async (host: string, listensOn: string) =>
    (await build({ host: listensOn }).inject({ url: "/api/site", headers: { host } })).statusCode;

  it.each(["localhost:8047", "127.0.0.1:8047", "[::1]:8047", "LOCALHOST"])("lets %s in on loopback", async (host) => {
    expect(await status(host, "127.0.0.1")).toBe(200);
  });

  it("turns away a name that was made to point at this machine", async () => {
    const answer = await build().inject({ url: "/api/state", headers: { host: "rebound.example:8047" } });
    expect(answer.statusCode).toBe(403);
    expect(answer.json().error).toBe('host: expected localhost, 127.0.0.1, [::1], found "rebound.example"');
  });

  it("asks for no name when others are meant to come in", async () => {
    expect(await status("basement.lan:8047", "0.0.0.0")).toBe(200);
  });

  it("lets no other page frame, sniff or read the answers", async () => {
    const { headers } = await ask("/api/site");
    expect(headers["content-security-policy"]).toContain("default-src 'self'");
    expect(headers["content-security-policy"]).toContain("frame-ancestors 'none'");
    expect(headers["x-content-type-options"]).toBe("nosniff");
    expect(headers["referrer-policy"]).toBe("no-referrer");
    expect(headers["access-control-allow-origin"]).toBeUndefined();
  });
});
