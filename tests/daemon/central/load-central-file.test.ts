import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { hashPassword, nobodysHash } from "../../../daemon/central/access/password.ts";
import { describeCentral } from "../../../daemon/central/config/describe-central.ts";
import { isCentralFile } from "../../../daemon/central/config/is-central-file.ts";
import { loadCentralFile } from "../../../daemon/central/config/load-central-file.ts";
import { mayAnswer } from "../../../daemon/central/server/access.ts";

let folder: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), "undercroft-central-"));
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

function load(text: string, given = {}) {
  const path = join(folder, "central.yaml");
  writeFileSync(path, text);
  return loadCentralFile(path, given);
}

function problems(text: string, given = {}): string[] {
  const loaded = load(text, given);
  return loaded.ok ? [] : loaded.problems.map((problem) => problem.text.replace(`${folder}/`, ""));
}

function loaded(text: string) {
  const found = load(text);
  if (!found.ok) throw new Error(found.problems.map((problem) => problem.text).join("\n"));
  return found.centralFile;
}

const broker = "broker: { url: mqtt://127.0.0.1 }\n";

describe("the central view's file", () => {
  it("needs a broker and nothing else", () => {
    const file = loaded(broker);
    expect(file).toMatchObject({
      view: { name: "All basins", silentAfter_s: 300 },
      broker: { topic_prefix: "undercroft" },
      basins: [],
      logins: [],
      server: { host: "127.0.0.1", port: 8048, tls: null },
    });
    expect(problems("view: { name: Round }\n")).toEqual([
      "central.yaml:1: broker: expected a group of keys, found nothing",
    ]);
  });

  it("tells when service is due, in the morning there, from a day or from the last one", () => {
    const { basins } = loaded(`${broker}view: { name: Round, timezone: Europe/Berlin }
basins:
  - { name: a, service: { due: 2027-03-01 } }
  - { name: b, service: { last: 2026-03-01, every: 365 d } }
  - { name: c }
`);
    expect(basins.map(({ serviceDue_s }) => serviceDue_s && new Date(serviceDue_s * 1000).toISOString())).toEqual([
      "2027-03-01T08:00:00.000Z",
      "2027-03-01T08:00:00.000Z",
      null,
    ]);
  });

  it("says every problem at once, each with its line", () => {
    expect(
      problems(`${broker}basins:
  - { name: Elm Street }
  - { name: a, service: { last: 2026-03-01 } }
  - { name: a, customer: nobody, silent_after: 5 }
logins:
  - { name: anna, password: secret, role: staff }
  - { name: bert, password: "${nobodysHash}" }
serverr: {}
`),
    ).toEqual([
      "central.yaml:3: basins[0].name: expected small letters, digits and -, at most 64, such as elm-street-7",
      "central.yaml:4: basins[1].service: expected either due, or last and every",
      "central.yaml:5: basins[2].silent_after: expected a duration with its unit, such as 6 s (units: ms, s, min, h, d), found the bare number 5",
      'central.yaml:5: basins[2].name: expected a name given once, found "a" again',
      'central.yaml:5: basins[2].customer: expected the name of one of customers, found "nobody"',
      "central.yaml:7: logins[0].password: expected what `undercroft central password` prints, found something else",
      "central.yaml:8: logins[1]: expected either role: staff, or a customer",
      "central.yaml:9: serverr: unknown key; did you mean server?",
    ]);
  });

  it("never says a password that was put where its hash belongs", () => {
    const said = problems(`${broker}logins:\n  - { name: anna, password: hunter-of-leaks, role: staff }\n`).join();
    expect(said).not.toContain("hunter");
  });

  it("lets no other machine in without log-ins and TLS", () => {
    expect(problems(`${broker}server: { host: 0.0.0.0 }\n`)).toEqual([
      "central.yaml:2: server.host: expected logins where other machines are let in (0.0.0.0), found none",
      "central.yaml:2: server.host: expected server.tls where other machines are let in (0.0.0.0), found none",
    ]);
    expect(problems(broker, { host: "0.0.0.0" })).toHaveLength(2);
    expect(problems(`${broker}server: { behind_tls_proxy: true }\n`)).toEqual([
      "central.yaml:2: server.host: expected logins where other machines are let in (127.0.0.1), found none",
    ]);
  });

  it("takes further basins from a folder, and says their problems in their own files", () => {
    mkdirSync(join(folder, "basins"));
    writeFileSync(join(folder, "basins", "elm-12.yaml"), "name: elm-12\ntitle: 12 Elm Street\n");
    writeFileSync(join(folder, "basins", "mill-3.yaml"), "name: mill-3\n");
    const text = `${broker}basins_folder: basins\nbasins: [{ name: depot }]\n`;
    expect(loaded(text).basins.map(({ name, title }) => [name, title])).toEqual([
      ["depot", "depot"],
      ["elm-12", "12 Elm Street"],
      ["mill-3", "mill-3"],
    ]);
    writeFileSync(join(folder, "basins", "mill-3.yaml"), "name: mill-3\ntitel: 3 Mill Lane\n");
    writeFileSync(join(folder, "basins", "b.yaml"), "");
    expect(problems(text)).toEqual([
      "basins/b.yaml: expected a basin of the central view (YAML, with at least its name), found an empty file",
      "basins/mill-3.yaml:2: titel: unknown key; did you mean title?",
    ]);
    expect(problems(`${broker}basins_folder: elsewhere\n`)[0]).toMatch(
      /^central.yaml:2: basins_folder: expected a folder/,
    );
  });

  it("is told from a site file by its broker", () => {
    const path = join(folder, "some.yaml");
    writeFileSync(path, broker);
    expect(isCentralFile(path)).toBe(true);
    writeFileSync(path, "basin: { shape: round, diameter: 18 in }\n");
    expect(isCentralFile(path)).toBe(false);
    expect(isCentralFile(join(folder, "none.yaml"))).toBe(false);
  });

  it("is said in words", () => {
    const lines = describeCentral(loaded(`${broker}basins: [{ name: a, group: North }, { name: b }]\n`)).flatMap(
      (paragraph) => paragraph.lines,
    );
    expect(lines).toEqual([
      "2 basins in 1 group, of 0 customers.",
      "A basin that is not heard for 5 min is called silent, where its own entry says nothing else.",
      "Boards are heard at mqtt://127.0.0.1, under undercroft/<name>.",
      "No database: a basin's page shows what is true now, and no record.",
      "The page is at http://127.0.0.1:8048/.",
      "No log-ins: whoever sits at this machine sees every basin.",
    ]);
  });

  it("lets log-ins answer alarms that say so, and staff but for those that say otherwise", async () => {
    const password = await hashPassword("a dry cellar");
    const file = loaded(`${broker}basins: [{ name: a, customer: lakeside }]
customers: [{ name: lakeside, title: Lakeside Homes }]
logins:
  - { name: anna, role: staff, password: "${password}" }
  - { name: screen in the hall, role: staff, answers: false, password: "${password}" }
  - { name: lake office, customer: lakeside, password: "${password}" }
  - { name: caretaker, customer: lakeside, answers: true, password: "${password}" }
`);
    expect(file.logins.map(mayAnswer)).toEqual([true, false, false, true]);
    expect(describeCentral(file).flatMap(({ lines }) => lines)).toContain(
      "2 log-ins of staff, who see every basin; 2 log-ins of customers, who see their own; 1 of these may answer alarms.",
    );
  });
});
