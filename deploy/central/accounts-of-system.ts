// The accounts under which broker, database and central view run, as the system knows them.

import { execFileSync } from "node:child_process";
import { readFileSync } from "node:fs";

export const brokerUser = "mosquitto";
export const databaseUser = "influxdb";
export const viewUser = "undercroft-central";

/** The group is the one of the same name, for the first group of a package's user may be everybody's. Null without them. */
export function accountIds(name: string): { readonly uid: number; readonly gid: number } | null {
  const uid = thirdField("/etc/passwd", name);
  const gid = thirdField("/etc/group", name);
  return uid === null || gid === null ? null : { uid, gid };
}

function thirdField(file: string, name: string): number | null {
  const lines = readFileSync(file, "utf8").split("\n");
  const third = lines.find((line) => line.startsWith(`${name}:`))?.split(":")[2];
  return third === undefined ? null : Number(third);
}

/** The central view has an account of its own; the other two come with their packages. */
export function makeViewUser(): void {
  if (accountIds(viewUser) !== null) return;
  const plain = ["--system", "--user-group", "--no-create-home", "--home-dir", "/nonexistent"];
  execFileSync("useradd", [...plain, "--shell", "/usr/sbin/nologin", viewUser], { stdio: "inherit" });
}
