// Why a mail did not go, in a sentence that says what to change.

import type { Outcome } from "../channel.ts";

interface MailError {
  readonly code?: string;
  readonly responseCode?: number;
  readonly response?: string;
  readonly message?: string;
}

/**
 * @param server `mail.example.org:587`
 */
export function explainMailError(error: unknown, server: string, to: string): Extract<Outcome, { is: "failed" }> {
  const { code, responseCode, response, message = String(error) } = error as MailError;
  const said = response === undefined ? "" : `; it says ${JSON.stringify(response.slice(0, 200))}`;
  const failed = (reason: string, again: boolean) => ({ is: "failed", reason: `${server}: ${reason}`, again }) as const;
  if (code === "EAUTH" && responseCode !== undefined && responseCode < 500)
    return failed(`takes no log-in for now${said}`, true);
  if (code === "EAUTH") return failed(`refuses the user name or the password${said}; check both`, false);
  if (code === "EDNS" || code === "ENOTFOUND")
    return failed("no server of that name; check host and the network", true);
  if (code === "ETIMEDOUT") return failed("no answer in time; check host, port and the network", true);
  if (code === "ECONNECTION" || code === "ESOCKET" || code === "ECONNREFUSED") {
    if (/certificate|self.signed|altname|issuer/i.test(message))
      return failed(`its certificate does not check out (${message}); name its authority under ca`, false);
    return failed(`no connection (${message}); check host, port and the network`, true);
  }
  if (code === "ETLS")
    return failed(`no encrypted connection (${message}); check port, or the server's certificate`, false);
  // Of the second digit's x.5x the server says whether it is for good (RFC 5321, 4.2.1).
  if (code === "EENVELOPE" && responseCode !== undefined && responseCode >= 500)
    return failed(`takes no mail for ${to}${said}; check the address`, false);
  if (responseCode !== undefined) return failed(`does not take the mail${said}`, responseCode < 500);
  return failed(message, true);
}
