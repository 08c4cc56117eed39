// The broker's configuration: TLS only, no one without an account, and a board writes under its own name alone.

import { execFileSync } from "node:child_process";
import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { alarmNames } from "../../analysis/alarms/alarm.ts";
import { findingKinds } from "../../analysis/findings/finding.ts";
import { acknowledgeTopic } from "../../daemon/publishers/acknowledgement.ts";
import { shelveTopic } from "../../daemon/publishers/shelving.ts";
import { brokerUser } from "./accounts-of-system.ts";
import { keepFile, keepFolder, keepFolderOf } from "./keep-file.ts";
import type { Machine } from "./machine.ts";
import { Mistake } from "./mistake.ts";
import { centralAccount } from "./names.ts";
import type { Places } from "./places.ts";

const readable = { mode: 0o640, reader: brokerUser };

/** Configuration and rights; the accounts are left as they are. */
export function keepBrokerFiles(places: Places, machine: Machine): void {
  keepFolder(join(places.broker.conf, ".."), { mode: 0o750, reader: brokerUser });
  keepFolderOf(brokerUser, places.broker.data);
  keepFile(places.broker.conf, configuration(places, machine), readable);
  keepFile(places.broker.rights, rights, readable);
  if (!existsSync(places.broker.accounts)) keepFile(places.broker.accounts, "", readable);
}

function configuration({ broker, tls }: Places, { brokerPort, listen }: Machine): string {
  return `# The broker of the boards. Written by \`undercroft-central set-up\`, which writes over what is changed here.

listener ${brokerPort}${listen === null ? "" : ` ${listen}`}
certfile ${tls}/broker.pem
keyfile ${tls}/broker.key
tls_version tlsv1.2

allow_anonymous false
password_file ${broker.accounts}
acl_file ${broker.rights}

# Otherwise messages that follow closely wait for each other.
set_tcp_nodelay true
# What a board says fits many times over; the largest is a finding with its evidence.
max_packet_size 65536
max_keepalive 3600
# Of a client that is gone no more is known after an hour.
persistent_client_expiration 1h
# The central view is given what is kept of every board at once when it connects: a shorter queue would drop some of it.
max_queued_messages 1000000

# What is retained outlives a restart.
persistence true
persistence_location ${broker.data}/
autosave_interval 300

log_dest stderr
log_type error
log_type warning
log_type notice
connection_messages false
user ${brokerUser}
`;
}

const boardTopics = [
  ...["status", "state", "cycle", "site", "health", "summary", "alarms"],
  ...findingKinds.map((kind) => `finding/${kind}`),
];

/** Written by the central view; taken back by the board that has read it. */
const orderTopics = [acknowledgeTopic, shelveTopic].flatMap((order) => alarmNames.map((name) => `${order}/${name}`));

const rights = `# The central view reads what every board says, answers alarms and shelves them.
user ${centralAccount}
topic read undercroft/#
${orderTopics.map((topic) => `topic write undercroft/+/${topic}`).join("\n")}

# A board writes what boards write, under its own name: as many topics and no more, so that one that was stolen cannot
# fill the broker's memory with what it is to keep. It reads what is asked of its own alarms alone, and takes it back.
${boardTopics.map((topic) => `pattern write undercroft/%u/${topic}`).join("\n")}
${orderTopics.map((topic) => `pattern readwrite undercroft/%u/${topic}`).join("\n")}
`;

export interface Account {
  readonly name: string;
  readonly password: string;
}

/** Adds the accounts, or gives them these passwords; of the passwords only hashes are kept here. */
export function setBrokerAccounts({ broker }: Places, accounts: readonly Account[]): void {
  const others = withoutAccounts(
    broker.accounts,
    accounts.map(({ name }) => name),
  );
  keepFile(broker.accounts, [...others, ...hashed(accounts), ""].join("\n"), readable);
}

export function removeBrokerAccount({ broker }: Places, name: string): void {
  keepFile(broker.accounts, [...withoutAccounts(broker.accounts, [name]), ""].join("\n"), readable);
}

function withoutAccounts(file: string, names: readonly string[]): string[] {
  const leaving = new Set(names);
  const lines = readFileSync(file, "utf8").split("\n");
  return lines.filter((line) => line !== "" && !leaving.has(line.split(":")[0] ?? ""));
}

/** By the broker's own program, and by way of a file, for others can read the command line of a process. */
function hashed(accounts: readonly Account[]): string[] {
  const folder = mkdtempSync(join(tmpdir(), "undercroft-central-"));
  const file = join(folder, "accounts");
  try {
    writeFileSync(file, accounts.map(({ name, password }) => `${name}:${password}\n`).join(""), { mode: 0o600 });
    execFileSync("mosquitto_passwd", ["-U", file], { stdio: ["ignore", "ignore", "pipe"] });
    return readFileSync(file, "utf8").trim().split("\n");
  } catch (cause) {
    throw new Mistake(`mosquitto_passwd: ${cause instanceof Error ? cause.message.trim() : cause}`, { cause });
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}
