import { spawn, spawnSync } from "node:child_process";
import { once } from "node:events";
import { copyFileSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { createInterface } from "node:readline";
import { expect, it, onTestFinished } from "vitest";
import type { LiveState } from "../../../daemon/server/api-types.ts";

const program = join(import.meta.dirname, "../../../daemon/undercroft.js");

it("undercroft run --look shows a board's record elsewhere, and neither reads its sources nor calls its people", async () => {
  const folder = mkdtempSync(join(tmpdir(), "undercroft-look-"));
  onTestFinished(() => rmSync(folder, { recursive: true }));
  copyFileSync(join(import.meta.dirname, "../../fixtures/stores/schema-3.sqlite"), join(folder, "copy.sqlite"));
  writeFileSync(
    join(folder, "site.yaml"),
    `basin: { shape: round, diameter: 18 in }
sources:
  - { kind: mqtt, name: sensor, url: "mqtt://127.0.0.1:9", channels: { level: { topic: level, unit: mm } } }
publish: { mqtt: { url: "mqtt://127.0.0.1:9", topic_prefix: house } }
alarms:
  channels: [{ kind: webhook, name: hook }]
  contacts: [{ name: Ann, reach: [{ by: hook, to: "http://127.0.0.1:9/" }] }]
`,
  );
  const options = ["run", "--look", "--site", "site.yaml", "--store", "copy.sqlite", "--port", "0"];
  const daemon = spawn(process.execPath, [program, ...options], { cwd: folder, stdio: ["ignore", "pipe", "inherit"] });
  const gone = once(daemon, "exit");
  try {
    let address = "";
    for await (const line of createInterface({ input: daemon.stdout })) {
      address = /^Open (\S+)/.exec(line)?.[1] ?? "";
      if (address !== "") break;
    }
    const state = (await (await fetch(`${address}api/state`)).json()) as LiveState;
    expect(state).toMatchObject({ sources: [], alarms: null, publisher: null, forward: null });
    expect(state.span).not.toBeNull();
    expect((await fetch(`${address}api/alarms`)).status).toBe(409);
  } finally {
    daemon.kill();
    await gone;
  }
});

it("undercroft run --look asks for the site file whose record is meant", () => {
  const { status, stderr } = spawnSync(process.execPath, [program, "run", "--look"], { encoding: "utf8" });
  expect([status, stderr]).toEqual([2, expect.stringContaining("--look: expected --site <file> too")]);
});
