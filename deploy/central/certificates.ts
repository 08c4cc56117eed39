// The certificates of the machine's three services.

import { brokerUser, databaseUser, viewUser } from "./accounts-of-system.ts";
import { keepAuthority, keepCertificate } from "./authority.ts";
import { certificateNames, type Machine } from "./machine.ts";
import type { Places } from "./places.ts";
import type { Service } from "./services.ts";

const readers: Readonly<Record<Service, string>> = { broker: brokerUser, database: databaseUser, view: viewUser };

export interface Renewal {
  /** Whether or not they are good. */
  readonly anyway?: boolean;
  readonly now?: Date;
}

/** @returns the services whose certificate is new */
export function keepAllCertificates({ tls }: Places, machine: Machine, { anyway, now }: Renewal = {}): Service[] {
  keepAuthority(tls);
  const names = certificateNames(machine);
  const services: readonly Service[] = ["broker", "database", "view"];
  return services.filter((service) => keepCertificate(tls, { service, names, reader: readers[service] }, now, anyway));
}
