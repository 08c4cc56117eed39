import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, describe, expect, it } from "vitest";
import { mqttClientOptions } from "../../../daemon/config/mqtt-connection.ts";

const folder = mkdtempSync(join(tmpdir(), "undercroft-mqtt-"));
afterAll(() => rmSync(folder, { recursive: true }));

describe("mqttClientOptions", () => {
  it("adds nothing that the site file does not say", () => {
    expect(mqttClientOptions({ url: "mqtt://broker.local" }, folder)).toEqual({});
  });

  it("reads the first line of the password file, relative to the site file", () => {
    writeFileSync(join(folder, "secret"), "long and hard\r\n# a comment\n");
    const options = mqttClientOptions({ url: "mqtt://b", username: "sump", password_file: "secret" }, folder);
    expect(options).toEqual({ username: "sump", password: "long and hard" });
  });

  it("reads certificates and keeps the check of the broker's", () => {
    writeFileSync(join(folder, "ca.pem"), "authority");
    const tls = { ca: "ca.pem", reject_unauthorized: true };
    expect(mqttClientOptions({ url: "mqtts://b", tls }, folder)).toEqual({
      ca: Buffer.from("authority"),
      rejectUnauthorized: true,
    });
  });

  it("names the key and the file that cannot be read", () => {
    const connection = { url: "mqtts://b", tls: { ca: "none.pem", reject_unauthorized: true } };
    expect(() => mqttClientOptions(connection, folder)).toThrow(/^tls\.ca: cannot read none\.pem: ENOENT/);
  });
});
