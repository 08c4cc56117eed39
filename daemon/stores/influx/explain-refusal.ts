// Why the shared database did not do as it was asked, in one sentence for a person. Pure: from what the client threw or
// the database answered.

/** What an error of the client, or of the connection under it, may carry. */
interface ClientError {
  readonly message: string;
  readonly code?: unknown;
  readonly res?: { readonly statusCode?: number };
}

const ofConnection: Readonly<Record<string, string>> = {
  ECONNREFUSED: "nobody listens there; expected a running database at that address",
  ENOTFOUND: "no host of that name is known; look at the address",
  EAI_AGAIN: "the name of the host cannot be looked up now; is the network there?",
  EHOSTUNREACH: "no way leads there; is the network there?",
  ENETUNREACH: "no way leads there; is the network there?",
  ETIMEDOUT: "no answer comes from there; is the network there?",
  ECONNRESET: "it cut the connection",
  EPIPE: "it cut the connection",
  EPROTO: "it speaks no TLS; expected an http:// address, or a database set up for https",
  ERR_SSL_WRONG_VERSION_NUMBER: "it speaks no TLS; expected an http:// address, or a database set up for https",
  ERR_SSL_PACKET_LENGTH_TOO_LONG: "it speaks no TLS; expected an http:// address, or a database set up for https",
  CERT_HAS_EXPIRED: "its certificate has expired; renew it, or set this machine's clock",
  CERT_NOT_YET_VALID: "its certificate is not valid yet; set this machine's clock",
  ERR_TLS_CERT_ALTNAME_INVALID: "its certificate is for another name; expected the name that the address has",
};

const untrusted =
  "nobody vouches for its certificate; expected tls.ca to name the file of the authority that signed it";
const untrustedCodes = [
  ...["DEPTH_ZERO_SELF_SIGNED_CERT", "SELF_SIGNED_CERT_IN_CHAIN", "UNABLE_TO_VERIFY_LEAF_SIGNATURE"],
  ...["UNABLE_TO_GET_ISSUER_CERT", "UNABLE_TO_GET_ISSUER_CERT_LOCALLY", "CERT_SIGNATURE_FAILURE"],
];

/** Why there is no connection, by the code of its error; null for a code that is not among them. */
export function explainConnection(code: unknown): string | null {
  if (typeof code !== "string") return null;
  return untrustedCodes.includes(code) ? untrusted : (ofConnection[code] ?? null);
}

/** @param user for the sentences about what it may */
export function explainRefusal(error: unknown, user: string | undefined): string {
  const { message, code, res }: ClientError = error instanceof Error ? error : new Error(String(error));
  if (typeof code === "string") return explainConnection(code) ?? `the connection failed: ${message}`;
  if (message === "Request timed out") return "it has not answered in time (`timeout` in the site file)";
  const said = saidBy(message);
  switch (res?.statusCode) {
    case 401:
      return user === undefined
        ? "it wants a user and a password; expected username and password_file"
        : `it does not know user ${user} with this password; expected the password in password_file`;
    case 403:
      if (said.includes("create admin user first")) {
        return "it has no administrator yet; expected one, made there by CREATE USER … WITH ALL PRIVILEGES";
      }
      return `user ${user ?? "unknown"} may not do that: ${said}`;
    case 429:
    case 503:
      return "it has too much to do";
    default:
      return explainAnswer(said);
  }
}

/** Why a query that it took was not answered. */
export function explainAnswer(said: string): string {
  const [, database] = /^database not found: "?(.*?)"?$/.exec(said) ?? [];
  if (database !== undefined) return `it has no database ${database}; undercroft store set-up-database makes it`;
  const [, policy] = /^retention policy not found: (.*)$/.exec(said) ?? [];
  if (policy !== undefined) return `it has no policy ${policy}; undercroft store set-up-database makes it`;
  if (/query-timeout limit exceeded|timeout/i.test(said)) return `it gave the question up as too slow: ${said}`;
  if (/^max-|limit exceeded/i.test(said)) return `the question is larger than its configuration allows: ${said}`;
  if (/HTTP request to an HTTPS server/i.test(said)) return "it speaks TLS only; expected an https:// address";
  if (said === "Internal Server Error") {
    return "it failed at it (500); its log says why";
  }
  return `it refused: ${said.replaceAll(/\s+/g, " ").slice(0, 200)}`;
}

/** What the database said, out of the client's sentence round it. */
function saidBy(message: string): string {
  const [, body = message] = /^A \d+ .*? error occurred: (.*)$/s.exec(message) ?? [];
  try {
    const { error } = JSON.parse(body) as { error?: unknown };
    return typeof error === "string" ? error : body.trim();
  } catch {
    return body.replace(/^Error from InfluxDB: /, "").trim();
  }
}
