import { spawnSync } from "node:child_process";
import { chmodSync, mkdtempSync, readdirSync, readFileSync, rmSync, statSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { parse } from "yaml";
import { keepBasin, refuseUnfitCentralFile, refuseUnknownCustomer } from "../../deploy/central/central-file.ts";
import { placesBelow } from "../../deploy/central/places.ts";
import { makeConfiguration } from "../../deploy/central/set-up.ts";

// Needs mosquitto, whose program makes the hashes of passwords, and the package of influxd.

const root = mkdtempSync(join(tmpdir(), "undercroft-set-up-"));
const places = placesBelow(root);
const project = resolve(import.meta.dirname, "../..");

beforeAll(async () => {
  await makeConfiguration(places, { names: ["monitor.example.org"], brokerPort: 18_883 });
});
afterAll(() => rmSync(root, { recursive: true }));

/** Every file below, with what it holds. */
function everything(): Map<string, string> {
  const files = readdirSync(root, { recursive: true, withFileTypes: true }).filter((entry) => entry.isFile());
  return new Map(
    files.map((entry) => {
      const path = join(entry.parentPath, entry.name);
      return [path, readFileSync(path, "utf8")];
    }),
  );
}

const mode = (path: string) => statSync(path).mode & 0o777;
const central = (...args: string[]) =>
  spawnSync(join(project, "deploy/central/undercroft-central"), ["--root", root, ...args], { encoding: "utf8" });

describe("set-up", () => {
  it("changes nothing when it is run again, but the salts of the broker's hashes", async () => {
    const before = everything();
    await makeConfiguration(places, {});
    const after = everything();
    expect([...after.keys()]).toEqual([...before.keys()]);
    const changed = [...after.keys()].filter((path) => after.get(path) !== before.get(path));
    expect(changed).toEqual([places.broker.accounts]);
  });

  it("lets nobody read a secret but its service", () => {
    const secrets = readdirSync(places.secrets);
    expect(secrets.sort()).toEqual(["administrator", "central-broker", "central-database", "staff"]);
    for (const name of secrets) expect(mode(join(places.secrets, name)) & 0o007).toBe(0);
    for (const name of ["administrator", "staff"]) expect(mode(join(places.secrets, name))).toBe(0o600);
    const keys = readdirSync(places.tls).filter((name) => name.endsWith(".key"));
    expect(keys).toHaveLength(4);
    for (const key of keys) expect(mode(join(places.tls, key)) & 0o007).toBe(0);
    expect(mode(places.broker.accounts) & 0o007).toBe(0);
    expect(mode(places.boards)).toBe(0o700);
    expect(mode(places.bundles)).toBe(0o700);
  });

  it("keeps of the broker's passwords hashes alone", () => {
    const password = readFileSync(join(places.secrets, "central-broker"), "utf8").trim();
    const accounts = readFileSync(places.broker.accounts, "utf8");
    expect(accounts).toMatch(/^central:\$7\$/);
    expect(accounts).not.toContain(password);
  });

  it("keeps a person's changes in central.yaml, and puts the port in that is asked for", async () => {
    const text = readFileSync(places.centralFile, "utf8");
    writeFileSync(
      places.centralFile,
      text.replace("customers: []", "customers:\n  - { name: cellars, title: Cellars } # ours"),
    );
    await makeConfiguration(places, { brokerPort: 18_884 });
    const kept = readFileSync(places.centralFile, "utf8");
    expect(kept).toContain("# ours");
    expect(parse(kept).broker.url).toBe("mqtts://127.0.0.1:18884");
    expect(readFileSync(places.broker.conf, "utf8")).toContain("listener 18884");
    refuseUnknownCustomer(places, "cellars");
    expect(() => refuseUnknownCustomer(places, "attics")).toThrow("(cellars)");
  });

  it("asks for a password file that was emptied, and does not make up another password", async () => {
    const path = join(places.secrets, "central-broker");
    const kept = readFileSync(path);
    chmodSync(path, 0o600);
    writeFileSync(path, "");
    await expect(makeConfiguration(places, {})).rejects.toThrow(`${path}: expected a password of at least 16`);
    writeFileSync(path, "it's a secret, this one");
    await expect(makeConfiguration(places, {})).rejects.toThrow("found something else");
    writeFileSync(path, kept);
  });

  it("says which option is missing or wrong", async () => {
    const elsewhere = placesBelow(join(root, "elsewhere"));
    await expect(makeConfiguration(elsewhere, {})).rejects.toThrow("expected --name");
    await expect(makeConfiguration(elsewhere, { names: ["http://x"] })).rejects.toThrow('--name "http://x"');
    await expect(makeConfiguration(elsewhere, { names: ["x"], listen: "all" })).rejects.toThrow('--listen "all"');
  });
});

describe("a basin's file", () => {
  it("keeps what a person wrote into it, but for the words that are given anew", () => {
    keepBasin(places, "elm-12", { title: "Elm Street 12", group: "Elm Street" });
    const path = join(places.basins, "elm-12.yaml");
    writeFileSync(path, `${readFileSync(path, "utf8")}contact: the caretaker # rings twice\n`);
    keepBasin(places, "elm-12", { group: "North" });
    expect(parse(readFileSync(path, "utf8"))).toEqual({
      name: "elm-12",
      title: "Elm Street 12",
      group: "North",
      contact: "the caretaker",
    });
    expect(readFileSync(path, "utf8")).toContain("# rings twice");
  });
});

describe("the command line", () => {
  it.each([
    [["enrol", "Elm Street"], 'undercroft-central: board "Elm Street": expected 1 to 64 small letters'],
    [
      ["enrol", "elm-1", "--customer", "attics"],
      'undercroft-central: --customer "attics": expected a name from customers',
    ],
    [["remove", "elm-99"], 'undercroft-central: board "elm-99": not enrolled here (none is)'],
    [["set-up", "--broker-port", "99999"], "Expected a port, 1 to 65535"],
    [["enroll", "x"], "undercroft-central: unknown command 'enroll'"],
  ])("%j ends with status 2 and one line that says why", (args, line) => {
    const { status, stderr, stdout } = central(...args);
    expect(stderr).toContain(line);
    expect(stderr).not.toContain("    at ");
    expect(stdout).toBe("");
    expect(status).toBe(2);
  });

  it("says what keeps the central view from starting, in a person's own file, and leaves it running", () => {
    const kept = readFileSync(places.centralFile, "utf8");
    writeFileSync(places.centralFile, kept.replace("port: 8443", "port: eight"));
    expect(() => refuseUnfitCentralFile(places)).toThrow(/not restarted.*\n.*central\.yaml:\d+: server\.port/);
    writeFileSync(places.centralFile, kept);
    expect(() => refuseUnfitCentralFile(places)).not.toThrow();
  });

  it("says that the machine has to be set up first", () => {
    const { status, stderr } = spawnSync(
      join(project, "deploy/central/undercroft-central"),
      ["--root", join(root, "nowhere"), "enrol", "elm-1"],
      { encoding: "utf8" },
    );
    expect(stderr).toContain("set the machine up first");
    expect(status).toBe(2);
  });
});

describe("the units", () => {
  const units = join(project, "deploy/central/units");
  const standard = placesBelow("/");

  it("start the programs with the files that set-up makes", () => {
    const text = readdirSync(units)
      .map((name) => readFileSync(join(units, name), "utf8"))
      .join("\n");
    for (const file of [standard.broker.conf, standard.database.conf, standard.centralFile])
      expect(text).toContain(` ${file}\n`);
    for (const data of [standard.broker.data, standard.database.data, standard.view.data]) {
      expect(text).toContain(`StateDirectory=${data.replace("/var/lib/", "")}\n`);
    }
  });

  it("give no service more than it needs", () => {
    for (const name of readdirSync(units).filter((unit) => unit.endsWith(".service"))) {
      const text = readFileSync(join(units, name), "utf8");
      for (const line of ["ProtectSystem=strict", "NoNewPrivileges=yes", "PrivateDevices=yes", "PrivateTmp=yes"]) {
        expect(text, name).toContain(`${line}\n`);
      }
    }
  });
});
