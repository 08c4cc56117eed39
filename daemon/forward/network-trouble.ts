// What keeps the database out of reach, in words that say what to look at.

import type { DatabaseConnection } from "../stores/influx/connection.ts";
import { StoreError } from "../stores/store-error.ts";
import { Trouble, type TroubleKind } from "./trouble.ts";

export function networkTrouble(error: unknown, { url, timeout }: DatabaseConnection): Trouble {
  const { host } = new URL(url);
  if (error instanceof StoreError) return new Trouble("refused", `forward.${error.message}`, { cause: error });
  const { name, code, message }: NodeJS.ErrnoException = error instanceof Error ? error : new Error(String(error));
  if (name === "TimeoutError") return new Trouble("away", `${host}: no answer within ${timeout} s`, { cause: error });
  const known = reasons.get(code);
  if (known === undefined) return new Trouble("away", `${host}: ${message || (code ?? name)}`, { cause: error });
  return new Trouble(known[0], `${host}: ${known[1]}`, { cause: error });
}

const untrusted: Reason = [
  "refused",
  "its certificate is not signed by an authority known here; set forward.tls.ca to the certificate of the one that signed it",
];
const noAnswer: Reason = ["away", "no answer; check the address and the network"];

type Reason = readonly [TroubleKind, string];

const reasons: ReadonlyMap<unknown, Reason> = new Map<unknown, Reason>([
  ["ECONNREFUSED", ["away", "connection refused: nothing listens there"]],
  ["ECONNRESET", ["away", "the connection was broken off"]],
  ["EPIPE", ["away", "the connection was broken off"]],
  ["ENOTFOUND", ["away", "there is no host of that name; check forward.url and the network"]],
  ["EAI_AGAIN", ["away", "the host's name cannot be looked up; check the network and the name server"]],
  ["ETIMEDOUT", noAnswer],
  ["EHOSTUNREACH", noAnswer],
  ["ENETUNREACH", noAnswer],
  ["SELF_SIGNED_CERT_IN_CHAIN", untrusted],
  ["DEPTH_ZERO_SELF_SIGNED_CERT", untrusted],
  ["UNABLE_TO_VERIFY_LEAF_SIGNATURE", untrusted],
  ["UNABLE_TO_GET_ISSUER_CERT", untrusted],
  ["UNABLE_TO_GET_ISSUER_CERT_LOCALLY", untrusted],
  ["CERT_SIGNATURE_FAILURE", untrusted],
  ["CERT_HAS_EXPIRED", ["refused", "its certificate has expired; renew it, and check this board's clock"]],
  ["CERT_NOT_YET_VALID", ["refused", "its certificate is not valid yet; check this board's clock"]],
  [
    "ERR_TLS_CERT_ALTNAME_INVALID",
    ["refused", "its certificate is for another host; change forward.url or the certificate"],
  ],
  [
    "ERR_SSL_WRONG_VERSION_NUMBER",
    ["refused", "no TLS is spoken there; check the port, or use http:// in forward.url"],
  ],
  [
    "ERR_SSL_PACKET_LENGTH_TOO_LONG",
    ["refused", "no TLS is spoken there; check the port, or use http:// in forward.url"],
  ],
]);
