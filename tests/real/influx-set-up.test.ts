// The shared database made ready, and what it refuses to whom: on a real server that asks for users, over TLS with an
// authority of its own.

import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import type { DatabaseConnection } from "../../daemon/stores/influx/connection.ts";
import { linkToDatabase } from "../../daemon/stores/influx/database-link.ts";
import { influxRecord } from "../../daemon/stores/influx/influx-record.ts";
import { setUpDatabase } from "../../daemon/stores/influx/set-up-database.ts";
import { makeCertificates } from "./certificates.ts";
import { freePort } from "./free-port.ts";
import { type Influxd, startInfluxd } from "./influxd.ts";

const day_s = 86_400;
/** Whatever is in a name or a password, it is only that. */
const nasty = `o'h "x", \\' ; DROP DATABASE undercroft -- ü€`;

let folder: string;
let server: Influxd;
let ca: string;

function connect(username: string | null, password: string, changes: Partial<DatabaseConnection> = {}) {
  const file = join(folder, "password");
  writeFileSync(file, `${password}\nand a second line\n`);
  const user = username === null ? {} : { username, password_file: file };
  return { url: server.url, database: "undercroft", timeout: 5, tls: { ca }, ...user, ...changes };
}

const plan = {
  keepReadings_s: 400 * day_s,
  users: [
    { name: "elm-street-7", password: "its own", right: "WRITE" },
    { name: nasty, password: nasty, right: "READ" },
  ],
} as const;
const setUp = (changes: Partial<typeof plan> = {}) =>
  setUpDatabase(connect("admin", "a b:c"), "/", { ...plan, ...changes });
const ask = async (connection: DatabaseConnection) =>
  influxRecord(await linkToDatabase(connection, "/"), "elm-street-7").cycles({ from_s: 0, to_s: 1 }, 1);

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), "undercroft-set-up-"));
  const { ca: authority, cert, key } = makeCertificates(folder, "database");
  ca = authority;
  server = await startInfluxd({ admin: { user: "admin", password: "a b:c" }, tls: { cert, key } });
});
afterAll(async () => {
  await server?.dispose();
  rmSync(folder, { recursive: true, force: true });
});

describe("setting up the shared database", () => {
  it("makes it with its policies and users, and says so", async () => {
    await expect(ask(connect(nasty, nasty))).rejects.toThrow("it does not know user");
    expect(await setUp()).toEqual([
      "made database undercroft",
      "made database undercroft_names",
      "policy raw keeps 400 days",
      "policy forever keeps for ever",
      "made user elm-street-7",
      "user elm-street-7 may WRITE on undercroft",
      "user elm-street-7 may ALL PRIVILEGES on undercroft_names",
      `made user ${nasty}`,
      `user ${nasty} may READ on undercroft`,
    ]);
  });

  it("changes nothing the second time, and what differs the third", async () => {
    expect(await setUp()).toEqual([]);
    expect(await setUp({ keepReadings_s: 90 * day_s })).toEqual(["policy raw keeps 90 days, before 400 days"]);
    await server.query('GRANT ALL ON undercroft TO "elm-street-7"');
    expect(await setUp()).toEqual([
      "policy raw keeps 400 days, before 90 days",
      "user elm-street-7 may no longer ALL PRIVILEGES on undercroft",
      "user elm-street-7 may WRITE on undercroft",
    ]);
  });

  it("lets a board write and not read, and the central view read and not write", async () => {
    expect(await ask(connect(nasty, nasty))).toEqual([]);
    await expect(ask(connect("elm-street-7", "its own"))).rejects.toThrow(
      /^database https:\/\/127\.0\.0\.1:\d+: user elm-street-7 may not do that: .* requires READ on undercroft$/,
    );
    const client = await import("influx");
    const { hostname, port } = new URL(server.url);
    const writeAs = (username: string, password: string) =>
      new client.InfluxDB({
        ...{ host: hostname, port: Number(port), protocol: "https", username, password, database: "undercroft" },
        options: { rejectUnauthorized: false },
      }).writePoints([{ measurement: "m", fields: { v: 1 } }], { retentionPolicy: "raw" });
    await writeAs("elm-street-7", "its own");
    await expect(writeAs(nasty, nasty)).rejects.toThrow("is not authorized to write to database");
  });
});

describe("what the shared database refuses is one sentence", () => {
  it.each([
    [
      "a wrong password",
      () => connect("elm-street-7", "guess"),
      "it does not know user elm-street-7 with this password",
    ],
    ["no user", () => connect(null, ""), "it wants a user and a password"],
    ["another database", () => connect("admin", "a b:c", { database: "cellars" }), "it has no database cellars"],
    ["an unknown authority", () => connect("admin", "a b:c", { tls: undefined }), "nobody vouches for its certificate"],
    [
      "another name than its certificate has",
      () => connect("admin", "a b:c", { url: server.url.replace("127.0.0.1", "localhost") }),
      "its certificate is for another name",
    ],
    ["no TLS", () => connect("admin", "a b:c", { url: server.url.replace("https", "http") }), "it speaks TLS only"],
    [
      "a certificate file that is not there",
      () => connect("admin", "a b:c", { tls: { ca: "/nowhere.pem" } }),
      "tls.ca: cannot read /nowhere.pem",
    ],
  ])("%s", async (_name, connection, said) => {
    await expect(ask(connection())).rejects.toThrow(said);
    await expect(ask(connection())).rejects.toThrow(/^[^\n]+$/);
  });

  it("a server that is away, and it is asked again as soon as it is back", async () => {
    const link = await linkToDatabase(connect(nasty, nasty), "/");
    const cycles = () => influxRecord(link, "elm-street-7").cycles({ from_s: 0, to_s: 1 }, 1);
    expect(await cycles()).toEqual([]);
    await server.kill();
    for (let i = 0; i < 4; i++) await expect(cycles()).rejects.toThrow(/nobody listens there|it cut the connection/);
    await server.start();
    expect(await cycles()).toEqual([]);
  });

  it("an address where something else answers", async () => {
    const port = await freePort();
    await expect(ask(connect("a", "b", { url: `http://127.0.0.1:${port}` }))).rejects.toThrow("nobody listens there");
    await expect(ask(connect("a", "b", { url: "http://no-such-host.invalid:8086" }))).rejects.toThrow(
      /no host of that name is known|cannot be looked up/,
    );
  });
});
