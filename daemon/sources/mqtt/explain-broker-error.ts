// Why a broker cannot be reached, in words that say what to look at.

export function explainBrokerError(error: Error): string {
  const code = "code" in error ? error.code : undefined;
  if (error.message === "connack timeout") return noAnswer;
  return reasons.get(code) ?? (error.message === "" ? `cannot connect (${code})` : error.message);
}

const untrusted =
  "the broker's certificate is not signed by an authority known here; set tls.ca to the certificate of the one that signed it";
const noAnswer = "no answer; check the address and the network";

const reasons: ReadonlyMap<unknown, string> = new Map<unknown, string>([
  ["ECONNREFUSED", "connection refused: nothing listens there; start the broker or change url"],
  ["ECONNRESET", "the broker broke off; if that goes on, check that url names the port of this protocol"],
  ["ENOTFOUND", "there is no host of that name; check url"],
  ["EAI_AGAIN", "the host's name cannot be looked up; check the network and the name server"],
  ["ETIMEDOUT", noAnswer],
  ["EHOSTUNREACH", noAnswer],
  ["ENETUNREACH", noAnswer],
  ["SELF_SIGNED_CERT_IN_CHAIN", untrusted],
  ["DEPTH_ZERO_SELF_SIGNED_CERT", untrusted],
  ["UNABLE_TO_VERIFY_LEAF_SIGNATURE", untrusted],
  ["UNABLE_TO_GET_ISSUER_CERT", untrusted],
  ["UNABLE_TO_GET_ISSUER_CERT_LOCALLY", untrusted],
  ["CERT_SIGNATURE_FAILURE", untrusted],
  ["CERT_HAS_EXPIRED", "the broker's certificate has expired; renew it, and check the board's clock"],
  ["CERT_NOT_YET_VALID", "the broker's certificate is not valid yet; check the board's clock"],
  ["ERR_TLS_CERT_ALTNAME_INVALID", "the broker's certificate is for another host; change url or the certificate"],
  ["ERR_SSL_WRONG_VERSION_NUMBER", "no TLS is spoken there; check the port, or use mqtt:// in url"],
  // Answers of the broker itself (MQTT 3.1.1, 3.2.2.3).
  [2, "the broker refuses client_id"],
  [3, "the broker is not available"],
  [4, "the broker refuses username and password"],
  [5, "the broker does not let this user in; check username and password"],
]);
