// The one file that is carried to a board: an archive to be unpacked at its root, with the two sections for its site
// file, the authority's certificate, its two passwords, and what lets the service read them.

import { execFileSync } from "node:child_process";
import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import { stringify } from "yaml";
import { databaseName } from "./database-accounts.ts";
import { keepFile, keepFolder } from "./keep-file.ts";
import type { Machine } from "./machine.ts";
import type { Places } from "./places.ts";

export interface BoardSecrets {
  readonly broker: string;
  readonly database: string;
}

/** Where they lie on the board, readable by root alone; systemd hands them to the service. */
const folder = "etc/undercroft/central";
const credentials = "/run/credentials/undercroft.service";

/** @returns its path */
export function keepBundle(places: Places, machine: Machine, board: string, secrets: BoardSecrets): string {
  const path = bundlePath(places, board);
  keepFolder(places.bundles, { mode: 0o700 });
  const scratch = mkdtempSync(join(tmpdir(), "undercroft-central-"));
  try {
    const files: readonly (readonly [path: string, content: string, mode: number])[] = [
      [`${folder}/sections.yaml`, sections(machine, board), 0o644],
      [`${folder}/ca.pem`, readFileSync(join(places.tls, "ca.pem"), "utf8"), 0o644],
      [`${folder}/broker-password`, `${secrets.broker}\n`, 0o600],
      [`${folder}/database-password`, `${secrets.database}\n`, 0o600],
      ["etc/systemd/system/undercroft.service.d/central.conf", dropIn, 0o644],
    ];
    for (const [name, content, mode] of files) {
      mkdirSync(join(scratch, dirname(name)), { recursive: true });
      writeFileSync(join(scratch, name), content, { mode });
    }
    // Files alone: folders that stand on the board keep their modes.
    const owner = ["--owner=root:0", "--group=root:0", "--mtime=2000-01-01", "--format=ustar"];
    const archive = execFileSync("tar", ["-C", scratch, ...owner, "-cf", "-", ...files.map(([name]) => name)]);
    keepFile(path, archive, { mode: 0o600 });
    return path;
  } finally {
    rmSync(scratch, { recursive: true, force: true });
  }
}

export function bundlePath(places: Places, board: string): string {
  return join(places.bundles, `${board}.tar`);
}

function sections({ names, brokerPort, databasePort }: Machine, board: string): string {
  const host = names[0]?.includes(":") ? `[${names[0]}]` : names[0];
  const tls = { ca: `/${folder}/ca.pem` };
  return `# For the site file of this board, from the machine that gathers all boards.\n${stringify(
    {
      publish: {
        mqtt: {
          url: `mqtts://${host}:${brokerPort}`,
          username: board,
          password_file: `${credentials}/broker-password`,
          topic_prefix: `undercroft/${board}`,
          acknowledge: true,
          shelve: true,
          tls,
        },
      },
      forward: {
        url: `https://${host}:${databasePort}`,
        database: databaseName,
        username: board,
        password_file: `${credentials}/database-password`,
        basin: board,
        tls,
      },
    },
    { aliasDuplicateObjects: false },
  )}`;
}

const dropIn = `# The service has no account that lasts, so that systemd gives it the passwords that root alone may read.
[Service]
LoadCredential=broker-password:/${folder}/broker-password
LoadCredential=database-password:/${folder}/database-password
`;
