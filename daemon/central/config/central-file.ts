// The central view's file as it is inside: quantities in SI, defaults in place, paths absolute.

import type { MqttConnection } from "../../config/mqtt-connection.ts";
import type { DatabaseConnection } from "../../stores/influx/connection.ts";

/** One basin that is enrolled. Null: not given. */
export interface EnrolledBasin {
  readonly name: string;
  readonly title: string;
  readonly group: string | null;
  readonly place: string | null;
  readonly customer: string | null;
  readonly contact: string | null;
  /** Unix time of the day on which its pump is due for service. */
  readonly serviceDue_s: number | null;
  readonly silentAfter_s: number;
}

export interface Login {
  readonly name: string;
  /** Its hash. */
  readonly password: string;
  /** Null: staff, who see every basin. */
  readonly customer: string | null;
  /** Whether it may answer and shelve alarms; absent: staff may, and customers look on. */
  readonly answers?: boolean;
}

export interface CentralFile {
  readonly view: { readonly name: string; readonly timezone: string; readonly silentAfter_s: number };
  readonly broker: MqttConnection & { readonly topic_prefix: string };
  readonly database: DatabaseConnection | null;
  readonly basins: readonly EnrolledBasin[];
  /** Name → what the page calls the customer. */
  readonly customers: ReadonlyMap<string, string>;
  /** Empty: whoever reaches the page sees all of it, which only this machine can. */
  readonly logins: readonly Login[];
  readonly server: {
    readonly host: string;
    readonly port: number;
    readonly tls: { readonly cert: string; readonly key: string } | null;
    readonly behindTlsProxy: boolean;
    readonly sessionKeyFile: string | null;
  };
  /** How phones are told; null or absent: they are not. */
  readonly phones?: {
    readonly email: string;
    readonly file: string;
    readonly tellAfter_s: number;
    readonly ca: string | null;
  } | null;
  /** Folder of the file: relative paths in it start here. */
  readonly baseFolder: string;
}
