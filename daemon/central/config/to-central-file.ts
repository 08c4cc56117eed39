// From the checked keys of the central view's file to the form that the program works with.

import { dirname, resolve } from "node:path";
import { dueAfter, morningOf } from "../../alarms/care/service-due.ts";
import type { DatabaseConnection } from "../../stores/influx/connection.ts";
import type { CentralFile, EnrolledBasin } from "./central-file.ts";
import type { BasinKeys, CentralKeys } from "./central-schema.ts";

/** @param path of the file; relative paths in it start at its folder */
export function toCentralFile(keys: CentralKeys, path: string): CentralFile {
  const baseFolder = dirname(resolve(path));
  const { view, server, broker, database, customers, logins, phones } = keys;
  return {
    view: { name: view.name, timezone: view.timezone, silentAfter_s: view.silent_after },
    broker,
    database: database === undefined ? null : toConnection(database),
    basins: keys.basins.map((basin) => toBasin(basin, view)),
    customers: new Map(customers.map(({ name, title }) => [name, title])),
    logins: logins.map(({ name, password, customer = null, answers = customer === null }) => ({
      ...{ name, password, customer, answers },
    })),
    server: {
      host: server.host,
      port: server.port,
      tls:
        server.tls === undefined
          ? null
          : { cert: resolve(baseFolder, server.tls.cert), key: resolve(baseFolder, server.tls.key) },
      behindTlsProxy: server.behind_tls_proxy,
      sessionKeyFile: server.session_key_file === undefined ? null : resolve(baseFolder, server.session_key_file),
    },
    phones:
      phones === undefined
        ? null
        : {
            email: phones.email,
            file: resolve(baseFolder, phones.file),
            tellAfter_s: phones.tell_after,
            ca: phones.ca ?? null,
          },
    baseFolder,
  };
}

function toConnection({ name, ...rest }: NonNullable<CentralKeys["database"]>): DatabaseConnection {
  return { ...rest, database: name };
}

function toBasin(keys: BasinKeys, view: CentralKeys["view"]): EnrolledBasin {
  const { name, title = name, group = null, place = null, customer = null, contact = null } = keys;
  const serviceDue_s = keys.service === undefined ? null : dueOf(keys.service, view.timezone);
  return {
    name,
    title,
    group,
    place,
    customer,
    contact,
    serviceDue_s,
    silentAfter_s: keys.silent_after ?? view.silent_after,
  };
}

function dueOf({ due, last, every }: NonNullable<BasinKeys["service"]>, timezone: string): number | null {
  if (due !== undefined) return morningOf(due, timezone);
  return last === undefined || every === undefined ? null : morningOf(dueAfter(last, every), timezone);
}
