// Why an address on the network gave no answer, in words that say what to look at. Pure.

/** @param waited_s how long an answer was waited for */
export function explainNetworkError(error: unknown, waited_s: number): string {
  if (error instanceof Error && error.name === "TimeoutError")
    return `no answer in ${waited_s} s; check the address and the network`;
  const cause = error instanceof Error && error.cause instanceof Error ? error.cause : error;
  if (!(cause instanceof Error)) return String(cause);
  const code = "code" in cause ? String(cause.code) : "";
  if (ofCertificate.test(code))
    return `its certificate does not check out (${cause.message}); check it, the name in the address and the board's clock`;
  return words[code] ?? (cause.message === "" ? `no connection (${code})` : cause.message);
}

const ofCertificate = /CERT|SELF_SIGNED|UNABLE_TO_/;
const words: Readonly<Record<string, string>> = {
  ECONNREFUSED: "nothing listens there; check the address, and that its server runs",
  ECONNRESET: "it broke off; check the address, and whether it wants https",
  UND_ERR_SOCKET: "it broke off; check the address, and whether it wants https",
  ENOTFOUND: "there is no machine of that name; check the address and the network",
  EAI_AGAIN: "its name cannot be looked up; check the network",
  EHOSTUNREACH: "no way leads there; check the network",
  ENETUNREACH: "no way leads there; check the network",
  ETIMEDOUT: "no answer; check the address and the network",
  UND_ERR_CONNECT_TIMEOUT: "no answer; check the address and the network",
  ERR_SSL_WRONG_VERSION_NUMBER: "it speaks no TLS; check the port, or give the address with http",
};
