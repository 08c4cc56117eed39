import { execFileSync } from "node:child_process";
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { mqtt } from "../../daemon/sources/mqtt.ts";
import { type RunningSource, runSource } from "../../daemon/sources/run-source.ts";
import { bareSite } from "../daemon/sources/listening-context.ts";
import { makeCertificates } from "./certificates.ts";
import { type Mosquitto, startMosquitto } from "./mosquitto.ts";
import { until } from "./until.ts";

let folder: string;
let broker: Mosquitto | undefined;
let source: RunningSource | undefined;

beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), "undercroft-access-"));
});
afterEach(async () => {
  await source?.close();
  await broker?.dispose();
  rmSync(folder, { recursive: true, force: true });
});

function listen(url: string, keys: Record<string, unknown>): RunningSource {
  const channels = { pump_on: { topic: "pump" } };
  const running = runSource(mqtt, mqtt.config.parse({ kind: "mqtt", name: "pit", url, channels, ...keys }), {
    clock: { now_s: () => Date.now() / 1000 },
    site: bareSite,
    baseFolder: folder,
    onReading: () => {},
  });
  source = running;
  return running;
}

async function errorOf(running: RunningSource): Promise<string> {
  await until("an error is shown", () => running.health().error !== null);
  return running.health().error ?? "";
}

describe("mqtt over TLS, with an authority of our own", () => {
  it("connects when the authority is known, with a certificate of the board's own", async () => {
    const house = makeCertificates(folder, "house");
    const lines = [`cafile ${house.ca}`, `certfile ${house.cert}`, `keyfile ${house.key}`];
    broker = await startMosquitto({ tls: true, lines: [...lines, "require_certificate true", "allow_anonymous true"] });
    const running = listen(broker.url, { tls: { ca: "house-ca.pem", cert: "house-cert.pem", key: "house-key.pem" } });
    await until("it runs", () => running.health().state === "running");
    expect(running.health().error).toBeNull();
  });

  it("says that the certificate is not signed by a known authority when it is another's", async () => {
    const house = makeCertificates(folder, "house");
    makeCertificates(folder, "other");
    const lines = [`cafile ${house.ca}`, `certfile ${house.cert}`, `keyfile ${house.key}`, "allow_anonymous true"];
    broker = await startMosquitto({ tls: true, lines });
    expect(await errorOf(listen(broker.url, { tls: { ca: "other-ca.pem" } }))).toBe(
      `mqtts://127.0.0.1:${broker.port}: the broker's certificate is not signed by an authority known here; set tls.ca to the certificate of the one that signed it`,
    );
  });

  it("names the file that it cannot read, and looks for it again", async () => {
    broker = await startMosquitto();
    const running = listen(broker.url, { tls: { ca: "missing.pem" } });
    expect(await errorOf(running)).toMatch(/^tls\.ca: cannot read missing\.pem/);
    expect(running.health().retryAt_s).not.toBeNull();
  });
});

describe("mqtt with a password", () => {
  it("lets in who has it in a file, and says so when it is wrong", async () => {
    const passwords = join(folder, "passwords");
    execFileSync("mosquitto_passwd", ["-b", "-c", passwords, "pit", "dry feet"]);
    broker = await startMosquitto({ lines: ["allow_anonymous false", `password_file ${passwords}`] });
    writeFileSync(join(folder, "password.txt"), "dry feet\n");
    const running = listen(broker.url, { username: "pit", password_file: "password.txt" });
    await until("it runs", () => running.health().state === "running");
    await running.close();
    expect(await errorOf(listen(broker.url, { username: "pit", password: "wet feet" }))).toBe(
      `mqtt://127.0.0.1:${broker.port}: the broker does not let this user in; check username and password`,
    );
  });
});
