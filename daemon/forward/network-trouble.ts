// What keeps the database out of reach: whether it may be back at any moment, or a person has to see to it.

import type { DatabaseConnection } from "../stores/influx/connection.ts";
import { explainConnection } from "../stores/influx/explain-refusal.ts";
import { StoreError } from "../stores/store-error.ts";
import { Trouble } from "./trouble.ts";

/** Of a certificate, or of one who speaks no TLS. */
const ofTls = /CERT|TLS|SSL|EPROTO|SELF_SIGNED|UNABLE_TO/;

export function networkTrouble(error: unknown, { url, timeout }: DatabaseConnection): Trouble {
  const { host } = new URL(url);
  if (error instanceof StoreError) return new Trouble("refused", `forward.${error.message}`, { cause: error });
  const { name, code, message }: NodeJS.ErrnoException = error instanceof Error ? error : new Error(String(error));
  if (name === "TimeoutError") return new Trouble("away", `${host}: no answer within ${timeout} s`, { cause: error });
  const words = explainConnection(code) ?? (message === "" ? `no connection (${code ?? name})` : message);
  return new Trouble(ofTls.test(code ?? "") ? "refused" : "away", `${host}: ${words}`, { cause: error });
}
