import { copyFileSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { connect } from "node:tls";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { askDaemon } from "../../../daemon/alarms/command/ask-daemon.ts";
import { CannotStart } from "../../../daemon/cannot-start.ts";
import { parseSiteFile } from "../../../daemon/config/parse-site-file.ts";
import { listenOn } from "../../../daemon/listen-on.ts";
import { runDaemon } from "../../../daemon/run-daemon.ts";
import { buildServer } from "../../../daemon/server/build-server.ts";
import { serverOver } from "../../../daemon/server/tls.ts";
import { makeCertificates } from "../../real/certificates.ts";
import { testParts } from "./parts.ts";

let folder: string;
let first: ReturnType<typeof makeCertificates>;
let second: ReturnType<typeof makeCertificates>;

beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), "undercroft-tls-"));
  first = makeCertificates(folder, "first");
  second = makeCertificates(folder, "second");
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

/** Whose certificate is shown there. */
function authorityAt(port: number): Promise<string> {
  return new Promise((resolve, reject) => {
    const socket = connect({ host: "127.0.0.1", port, rejectUnauthorized: false }, () => {
      resolve(String(socket.getPeerCertificate().issuer.CN));
      socket.destroy();
    });
    socket.on("error", reject);
  });
}

describe("the board's page over TLS", () => {
  it("answers as it does without, and its own commands know it by its certificate", async () => {
    const server = buildServer(testParts({ tls: first }));
    const url = await listenOn(server, { host: "127.0.0.1", port: 0 });
    expect(url).toMatch(/^https:\/\/127\.0\.0\.1:\d+\/$/);
    const at = { host: "0.0.0.0", port: Number(new URL(url).port) };
    const { status, body } = await askDaemon({ ...at, tls: first }, "/api/site");
    expect([status, JSON.parse(body).site.name]).toEqual([200, "Test house"]);
    expect((await askDaemon({ ...at, tls: first }, "/api/alarms/test", { contact: "Ann" })).status).toBe(409);
    await expect(askDaemon({ ...at, tls: second }, "/api/site")).rejects.toThrow();
    await server.close();
  });

  it("shows a certificate that was renewed, without a restart, once both files have come", async () => {
    const tls = { cert: join(folder, "cert.pem"), key: join(folder, "key.pem") };
    copyFileSync(first.cert, tls.cert);
    copyFileSync(first.key, tls.key);
    const server = serverOver(tls, {}, 5);
    await server.listen({ host: "127.0.0.1", port: 0 });
    const address = server.server.address();
    const port = typeof address === "object" && address !== null ? address.port : 0;
    expect(await authorityAt(port)).toBe("first authority");
    copyFileSync(second.cert, tls.cert);
    expect(await authorityAt(port)).toBe("first authority");
    copyFileSync(second.key, tls.key);
    while ((await authorityAt(port)) !== "second authority") {} // until the test's time is over
    await server.close();
  });

  it("says which file cannot be read, or that the two do not belong together", () => {
    expect(() => serverOver({ ...first, cert: "/no/such.pem" }, {})).toThrow(CannotStart);
    expect(() => serverOver({ ...first, cert: "/no/such.pem" }, {})).toThrow(
      "server.tls.cert: cannot read /no/such.pem",
    );
    expect(() => serverOver({ cert: first.cert, key: second.key }, {})).toThrow(
      "server.tls: expected a certificate and its own private key (PEM)",
    );
    const text = join(folder, "text.pem");
    writeFileSync(text, "no certificate\n");
    expect(() => serverOver({ ...first, cert: text }, {})).toThrow(`in ${text} and ${first.key}, found none`);
  });

  it("is asked for in the site file, with paths that start there", () => {
    const text = "basin: { shape: round, diameter: 18 in }\nserver: { tls: { cert: page.pem, key: keys/page.key } }\n";
    const parsed = parseSiteFile(text, "/etc/undercroft/site.yaml", []);
    expect(parsed.ok && parsed.siteFile.server).toEqual({
      ...{ host: "127.0.0.1", port: 8047 },
      tls: { cert: "/etc/undercroft/page.pem", key: "/etc/undercroft/keys/page.key" },
    });
  });
});

describe("a daemon with a certificate", () => {
  const siteFile = (cert: string) => {
    const tls = `{ cert: ${cert}, key: ${first.key} }`;
    const text = `basin: { shape: round, diameter: 18 in }\nserver: { port: 0, tls: ${tls} }\nstore: { path: house.db }\n`;
    const parsed = parseSiteFile(text, join(folder, "site.yaml"), []);
    if (!parsed.ok) throw new Error(parsed.problems.map((problem) => problem.text).join("\n"));
    return parsed.siteFile;
  };

  it("serves its page over TLS, and says so", async () => {
    const file = siteFile(first.cert);
    const daemon = await runDaemon(file, { log() {} });
    expect(daemon.url).toMatch(/^https:/);
    const at = { ...file.server, port: Number(new URL(daemon.url).port) };
    expect((await askDaemon(at, "/api/site")).status).toBe(200);
    await daemon.stop();
  });

  it("does not start without it, in one line, and lets its store go", async () => {
    await expect(runDaemon(siteFile("/no/such.pem"), { log() {} })).rejects.toThrow(CannotStart);
    const daemon = await runDaemon(siteFile(first.cert), { log() {} });
    await daemon.stop();
  });
});

describe("a proxy on this machine", () => {
  it("passes requests on by the name that the owner gave out, and by no other", async () => {
    const server = buildServer(testParts({ alsoCalled: "basin.example.org" }));
    const status = async (host: string) => (await server.inject({ url: "/api/site", headers: { host } })).statusCode;
    expect(await status("basin.example.org")).toBe(200);
    expect(await status("elsewhere.example.org")).toBe(403);
    await server.close();
  });
});
