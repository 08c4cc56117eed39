// Asks the daemon of a site on this machine. Over TLS it is known by the certificate that the site file names, whatever name
// stands in it.

import { readFileSync } from "node:fs";
import { request as requestHttp } from "node:http";
import { request as requestHttps } from "node:https";
import type { SiteFile } from "../../config/site-file.ts";

export interface Asked {
  readonly status: number;
  readonly body: string;
}

/**
 * @param body sent as JSON by POST; undefined: a GET
 * @throws {Error} when nobody answers
 */
export function askDaemon({ host, port, tls }: SiteFile["server"], path: string, body?: object): Promise<Asked> {
  const { promise, resolve, reject } = Promise.withResolvers<Asked>();
  const options = {
    ...{ host: onThisMachine(host), port, path, agent: false as const, timeout: answer_ms },
    ...(body !== undefined && { method: "POST", headers: { "content-type": "application/json" } }),
  };
  const known = () => ({
    ca: readFileSync(tls?.cert ?? ""),
    allowPartialTrustChain: true,
    checkServerIdentity: () => undefined,
  });
  const asked = tls === undefined ? requestHttp(options) : requestHttps({ ...options, ...known() });
  asked.on("timeout", () => asked.destroy(new Error(`no answer in ${answer_ms / 1000} s`)));
  asked.on("error", reject);
  asked.on("response", (response) => {
    let text = "";
    response.setEncoding("utf8");
    response.on("data", (more: string) => {
      text += more;
    });
    response.on("error", reject);
    response.on("end", () => resolve({ status: response.statusCode ?? 0, body: text }));
  });
  asked.end(body === undefined ? undefined : JSON.stringify(body));
  return promise;
}

const answer_ms = 10_000;

function onThisMachine(host: string): string {
  return host === "0.0.0.0" ? "127.0.0.1" : host === "::" ? "::1" : host;
}
