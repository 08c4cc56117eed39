import { spawn } from "node:child_process";
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, describe, expect, it } from "vitest";
import { hashForm, isPassword } from "../../../daemon/central/access/password.ts";

const folder = mkdtempSync(join(tmpdir(), "undercroft-central-"));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

interface Ended {
  readonly status: number | null;
  readonly out: string;
  readonly said: string;
}

/** @param until ends it by a signal once it has printed this */
function undercroft(
  args: readonly string[],
  { input = "", until }: { input?: string; until?: RegExp } = {},
): Promise<Ended> {
  return new Promise((resolve, reject) => {
    const started = spawn(process.execPath, ["daemon/undercroft.js", ...args]);
    let [out, said] = ["", ""];
    started.stdout.on("data", (text) => {
      out += text;
      if (until?.test(out)) started.kill("SIGTERM");
    });
    started.stderr.on("data", (text) => {
      said += text;
    });
    started.on("error", reject);
    started.on("close", (status) => resolve({ status, out, said }));
    started.stdin.end(input);
  });
}

function written(name: string, text: string): string {
  const path = join(folder, name);
  writeFileSync(path, text);
  return path;
}

const nobody = "broker: { url: mqtt://127.0.0.1:9 }\nserver: { port: 0 }\n";

describe("undercroft central password", () => {
  it("prints the hash of the password on standard input, and nothing else", async () => {
    const { status, out, said } = await undercroft(["central", "password"], { input: "four dry cellar steps\n" });
    expect([status, said]).toEqual([0, ""]);
    expect(out.trim()).toMatch(hashForm);
    expect(await isPassword("four dry cellar steps", out.trim())).toBe(true);
  });

  it("refuses one that is quickly guessed", async () => {
    expect(await undercroft(["central", "password"], { input: "short\n" })).toEqual({
      status: 2,
      out: "",
      said: "password: expected at least 10 characters, found 5\n",
    });
  });
});

describe("undercroft run --central", () => {
  it("says where its page is, what keeps the broker away, and stops on a signal", async () => {
    const file = written("central.yaml", `view: { name: Riverside round }\n${nobody}basins: [{ name: elm-12 }]\n`);
    const { status, out } = await undercroft(["run", "--central", file], {
      until: /Open.*broker: |broker: .*Open/s,
    });
    expect(status).toBe(0);
    expect(out).toMatch(/^Riverside round: 1 basin, heard at mqtt:\/\/127\.0\.0\.1:9$/m);
    expect(out).toMatch(/^Open http:\/\/127\.0\.0\.1:\d+\/ \(from this machine only, without a log-in\)$/m);
    expect(out).toMatch(/^broker: mqtt:\/\/127\.0\.0\.1:9: .*$/m);
    expect(out).toMatch(/^Stopped\.$/m);
  });

  it("says in a line each what is wrong, and ends with status 2", async () => {
    const wrong = written("wrong.yaml", `${nobody}basins: [{ name: Elm }]\n`);
    const { status, said } = await undercroft(["run", "--central", wrong]);
    expect([status, said]).toEqual([
      2,
      expect.stringMatching(/wrong\.yaml:3: basins\[0\]\.name: expected small letters.*\n$/),
    ]);
    const noKey = written(
      "no-key.yaml",
      `${nobody.replace("port: 0", "port: 0, tls: { cert: none.pem, key: none.key }")}`,
    );
    expect(await undercroft(["run", "--central", noKey])).toMatchObject({
      status: 2,
      said: expect.stringMatching(/^server\.tls\.cert: cannot read .*none\.pem: .*\n$/),
    });
    const noPassword = written("no-password.yaml", nobody.replace(":9", ":9, username: a, password_file: none"));
    expect(await undercroft(["run", "--central", noPassword])).toMatchObject({
      status: 2,
      said: expect.stringMatching(/^password_file: cannot read none: .*\n$/),
    });
    expect(await undercroft(["run", "--central", wrong, "--site", wrong])).toMatchObject({
      status: 2,
      said: expect.stringContaining("expected either --central or --site, found both"),
    });
  });
});

describe("undercroft check", () => {
  it("takes the central view's file too, and says what it means", async () => {
    const { status, out } = await undercroft(["check", written("all.yaml", nobody)]);
    expect(status).toBe(0);
    for (const heading of ["Basins", "Where it hears of them", "Who sees what", "Cautions"])
      expect(out).toContain(`\n${heading}\n`);
  });
});
