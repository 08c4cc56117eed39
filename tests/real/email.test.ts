// E-mail against a mail server (smtp-server) on a loopback port, with certificates of an authority of the test's own.

import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { createServer, type Server } from "node:net";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { SMTPServer, type SMTPServerOptions } from "smtp-server";
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from "vitest";
import { email } from "../../daemon/alarms/channels/email.ts";
import { listeningChannel, message } from "../daemon/alarms/channels/listening-channel.ts";
import { makeCertificates } from "./certificates.ts";
import { freePort } from "./free-port.ts";
import { until } from "./until.ts";

let folder: string;
let certificates: ReturnType<typeof makeCertificates>;
let port: number;
let server: SMTPServer | null = null;
let received: { readonly to: string[]; readonly mail: string; readonly secure: boolean }[];
const never = new AbortController().signal;

beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), "undercroft-email-"));
  certificates = makeCertificates(folder, "mail");
  makeCertificates(folder, "other");
  writeFileSync(join(folder, "password"), "right\n");
  writeFileSync(join(folder, "wrong"), "wrong\n");
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));
beforeEach(async () => {
  port = await freePort();
  received = [];
});
afterEach(async () => {
  await new Promise<void>((done) => (server === null ? done() : server.close(() => done())));
  server = null;
});

const refusal = (text: string, responseCode: number) => Object.assign(new Error(text), { responseCode });

async function serve(options: SMTPServerOptions = {}): Promise<void> {
  const made = new SMTPServer({
    key: readFileSync(certificates.key),
    cert: readFileSync(certificates.cert),
    onAuth: ({ username, password }, _session, done) =>
      username === "basin" && password === "right" ? done(null, { user: username }) : done(refusal("5.7.8 no", 535)),
    onData(stream, session, done) {
      let mail = "";
      stream.on("data", (chunk) => {
        mail += chunk;
      });
      stream.on("end", () => {
        received.push({ to: session.envelope.rcptTo.map(({ address }) => address), mail, secure: session.secure });
        done();
      });
    },
    closeTimeout: 50,
    ...options,
  });
  made.on("error", () => {});
  server = made;
  await new Promise<void>((done) => void made.listen(port, "127.0.0.1", done));
}

async function send(keys: Record<string, unknown> = {}, signal = never) {
  const login = { username: "basin", password_file: "password", ca: "mail-ca.pem" };
  const from = "basin@example.org";
  const config = email.config.parse({ kind: "email", name: "mail", host: "127.0.0.1", port, from, ...login, ...keys });
  const channel = await email.open(config, listeningChannel(folder).context);
  const outcome = await channel.send({ ...message, to: "ann@example.org" }, signal);
  await channel.close();
  return outcome;
}

describe("email", () => {
  it("goes encrypted by STARTTLS, with a private authority, and carries its key as Message-ID", async () => {
    await serve();
    expect(await send()).toEqual({ is: "handed-over" });
    const [{ to, mail, secure }] = received as [(typeof received)[0]];
    expect([to, secure]).toEqual([["ann@example.org"], true]);
    expect(mail).toContain(`Message-ID: <${message.key}@example.org>`);
    expect(mail).toContain(`Subject: ${message.subject}`);
    expect(mail).toMatch(/^Auto-Submitted: auto-generated\r$/m);
    expect(mail).toContain("High water 41 cm.\r\nThe pump runs.");
  });

  it("sends the short text alone to a gateway", async () => {
    await serve();
    await send({ short: true });
    expect(received[0]?.mail.split("\r\n\r\n")[1]?.trim()).toBe(message.text);
    expect(received[0]?.mail).not.toMatch(/^Subject:/m);
  });

  it("goes encrypted from the first byte where the server wants it so, as on port 465", async () => {
    await serve({ secure: true });
    expect(await send({ tls_at_once: true })).toEqual({ is: "handed-over" });
    expect(received.map(({ to, secure }) => ({ to, secure }))).toEqual([{ to: ["ann@example.org"], secure: true }]);
    expect(received[0]?.mail).toContain(`Message-ID: <${message.key}@example.org>`);
  });

  it("checks the certificate and the password there, too, and speaks to no server that is not encrypted", async () => {
    await serve({ secure: true });
    expect(await send({ tls_at_once: true, ca: "other-ca.pem" })).toMatchObject({
      ...{ is: "failed", again: false },
      reason: expect.stringMatching(/certificate does not check out.*name its authority under ca/),
    });
    expect(await send({ tls_at_once: true, password_file: "wrong" })).toMatchObject({
      ...{ is: "failed", again: false },
      reason: expect.stringContaining("refuses the user name or the password"),
    });
    await new Promise<void>((done) => (server === null ? done() : server.close(() => done())));
    await serve();
    expect(await send({ tls_at_once: true })).toMatchObject({ is: "failed" });
    expect(received).toEqual([]);
  });

  it("takes port 465 for encrypted at once, unless the site file says otherwise", () => {
    const problems = (keys: Record<string, unknown>) =>
      email.config
        .safeParse({ kind: "email", name: "mail", host: "mail.example.org", from: "basin@example.org", ...keys })
        .error?.issues.map(({ path, message }) => `${path.join(".")}: ${message}`);
    expect(problems({ port: 465 })).toBeUndefined();
    const contradiction = ["encrypted: expected true on port 465 and with tls_at_once, found false"];
    expect(problems({ port: 465, encrypted: false })).toEqual(contradiction);
    expect(problems({ tls_at_once: true, encrypted: false })).toEqual(contradiction);
  });

  it("is given up in mid-handshake, and nothing leaves later", async () => {
    let ended = 0;
    const giveUp = new AbortController();
    const mute = createServer((socket) => {
      socket.on("error", () => {});
      socket.on("close", () => ended++);
      socket.once("data", () => giveUp.abort()); // the client's hello; no answer follows
    });
    await new Promise<void>((done) => mute.listen(port, "127.0.0.1", done));
    expect(await send({ tls_at_once: true }, giveUp.signal)).toEqual({
      ...{ is: "failed", reason: `127.0.0.1:${port}: no answer in time`, again: true },
    });
    await until("the connection is cut", () => ended === 1);
    await new Promise<void>((done) => mute.close(() => done()));
  });

  it("gives no password to a server that does not encrypt", async () => {
    await serve({ hideSTARTTLS: true, disabledCommands: ["STARTTLS"], allowInsecureAuth: true });
    expect(await send()).toMatchObject({ is: "failed", reason: expect.stringMatching(/no encrypted connection/) });
    expect(received).toEqual([]);
  });

  it("explains a wrong password", async () => {
    await serve();
    expect(await send({ password_file: "wrong" })).toEqual({
      ...{ is: "failed", again: false },
      reason: `127.0.0.1:${port}: refuses the user name or the password; it says "535 5.7.8 no"; check both`,
    });
  });

  it("explains a recipient that the server does not know", async () => {
    await serve({ onRcptTo: (_address, _session, done) => done(refusal("5.1.1 no such user", 550)) });
    expect(await send()).toMatchObject({
      ...{ is: "failed", again: false },
      reason: expect.stringContaining("takes no mail for ann@example.org"),
    });
  });

  it("comes again to a server that wants to be asked twice", async () => {
    let asked = 0;
    await serve({
      onRcptTo: (_address, _session, done) => (asked++ === 0 ? done(refusal("4.7.1 later", 451)) : done()),
    });
    expect(await send()).toMatchObject({ is: "failed", again: true, reason: expect.stringContaining("4.7.1 later") });
    expect(await send()).toEqual({ is: "handed-over" });
  });

  it.each([
    ["no authority named", {}],
    ["another authority", { ca: "other-ca.pem" }],
  ])("does not trust a certificate of %s", async (_, keys) => {
    await serve();
    const outcome = await send({ ca: undefined, ...keys });
    expect(outcome).toMatchObject({ is: "failed", again: false });
    expect("reason" in outcome && outcome.reason).toMatch(/certificate.*(name its authority under ca|check port)/);
    expect(received).toEqual([]);
  });

  it("is cut where the server says nothing, and nothing leaves later", async () => {
    let ended = 0;
    const giveUp = new AbortController();
    const silent: Server = createServer((socket) => {
      socket.on("error", () => {});
      socket.on("close", () => ended++);
      socket.resume();
      giveUp.abort();
    });
    await new Promise<void>((done) => silent.listen(port, "127.0.0.1", done));
    expect(await send({}, giveUp.signal)).toEqual({
      ...{ is: "failed", reason: `127.0.0.1:${port}: no answer in time`, again: true },
    });
    await until("the connection is cut", () => ended === 1);
    await new Promise<void>((done) => silent.close(() => done()));
  });
});
