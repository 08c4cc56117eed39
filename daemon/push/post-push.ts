// One message to one phone, through the push service that its browser chose: encrypted for the phone alone (RFC 8291),
// signed with our key (RFC 8292), and the service's answer in words (RFC 8030).

import { Agent, request } from "node:https";
import type { Phone } from "./phone-book.ts";
import { literalProblem, lookupPublic } from "./public-address.ts";
import type { Treatment } from "./push-note.ts";

export interface Sender {
  readonly publicKey: string;
  readonly privateKey: string;
  /** `mailto:` and an address at which the push service can write to whoever runs this. */
  readonly subject: string;
  /** Of an authority that is not among those known to all, whose push service may stand anywhere; null: none. */
  readonly ca: Buffer | null;
}

export type PushOutcome =
  | { readonly is: "taken" }
  /** The subscription is over: its browser has given it up. */
  | { readonly is: "gone"; readonly reason: string }
  | {
      readonly is: "failed";
      readonly reason: string;
      readonly again: boolean;
      /** It may have been taken all the same. */
      readonly mayHaveLeft: boolean;
      /** The service wants to be left alone for so long; null: it does not say. */
      readonly wait_s: number | null;
    };

interface Answer {
  readonly status: number;
  readonly retryAfter: string | undefined;
  readonly said: string;
}

const answer_ms = 20_000;
const longestAnswer = 200;

/**
 * Never rejects.
 * @param now_s for a `Retry-After` that names a time of day
 */
export async function postPush(
  phone: Phone,
  payload: string,
  { ttl_s, urgency, topic }: Treatment,
  sender: Sender,
  { signal, now_s }: { readonly signal: AbortSignal; readonly now_s: number },
): Promise<PushOutcome> {
  const { host, hostname } = new URL(phone.endpoint);
  if (signal.aborted) return failed(`${host}: given up before it was sent`, true);
  const { subject, publicKey, privateKey, ca } = sender;
  const problem = ca === null ? literalProblem(hostname) : null;
  if (problem !== null) return failed(`${host}: ${problem}`, false);
  const progress = { left: false };
  try {
    const { default: webPush } = await import("web-push");
    const keys = { p256dh: phone.p256dh, auth: phone.auth };
    const details = webPush.generateRequestDetails({ endpoint: phone.endpoint, keys }, payload, {
      vapidDetails: { subject, publicKey, privateKey },
      TTL: ttl_s,
      urgency,
      topic,
    });
    const body = details.body ?? Buffer.alloc(0);
    return explain(host, await post(phone.endpoint, details.headers, body, { ca, signal, progress }), now_s);
  } catch (error) {
    const reason = signal.aborted ? "given up before it answered" : networkReason(error);
    return failed(`${host}: ${reason}`, true, progress.left);
  }
}

function post(
  endpoint: string,
  headers: object,
  body: Buffer,
  at: { readonly ca: Buffer | null; readonly signal: AbortSignal; readonly progress: { left: boolean } },
): Promise<Answer> {
  const { promise, resolve, reject } = Promise.withResolvers<Answer>();
  const sent = request(endpoint, {
    method: "POST",
    headers: { ...headers, "user-agent": "undercroft" },
    // A connection of its own, closed with the answer: messages are rare, and nothing is left open between them.
    agent: new Agent({ keepAlive: false }),
    signal: AbortSignal.any([at.signal, AbortSignal.timeout(answer_ms)]),
    minVersion: "TLSv1.2",
    ...(at.ca === null ? { lookup: lookupPublic } : { ca: at.ca }),
  });
  sent.on("finish", () => {
    at.progress.left = true;
  });
  sent.on("error", reject);
  sent.on("response", (response) => {
    let said = "";
    const done = () =>
      resolve({ status: response.statusCode ?? 0, retryAfter: response.headers["retry-after"], said: said.trim() });
    response.setEncoding("utf8");
    response.on("data", (text: string) => {
      if (said.length < longestAnswer) said = (said + text).slice(0, longestAnswer);
    });
    response.on("end", done);
    // The status is known; what it says beside that need not be waited for.
    response.on("error", done);
  });
  sent.end(body);
  return promise;
}

function explain(host: string, { status, retryAfter, said }: Answer, now_s: number): PushOutcome {
  if (status >= 200 && status < 300) return { is: "taken" };
  const why = said === "" ? "" : `; it says ${JSON.stringify(said)}`;
  const is = (reason: string, again: boolean) => failed(`${host}: ${reason}`, again, false, waitOf(retryAfter, now_s));
  // RFC 8030, 7.3: 404 of a subscription that is over; 410 where the service knows that it once was one.
  if (status === 404 || status === 410)
    return { is: "gone", reason: `its push service, ${host}, knows it no more (${status})` };
  if (status === 401 || status === 403)
    return is(
      `refuses our signature (${status})${why}; is the board's clock right? A phone that was taken up with other keys has to be taken up anew`,
      false,
    );
  if (status === 413) return is(`takes no message of that length (413)${why}`, false);
  if (status === 429) return is(`has had enough for now (429)${why}`, true);
  if (status >= 300 && status < 400) return is(`sends us elsewhere (${status}), where we do not go`, false);
  return is(`answers ${status}${why}`, status >= 500 || status === 408 || status === 425);
}

/** Of RFC 9110, 10.2.3: seconds, or a time of day. */
function waitOf(retryAfter: string | undefined, now_s: number): number | null {
  if (retryAfter === undefined) return null;
  if (/^\d{1,6}$/.test(retryAfter.trim())) return Number(retryAfter);
  const at_ms = Date.parse(retryAfter);
  return Number.isNaN(at_ms) ? null : Math.max(0, at_ms / 1000 - now_s);
}

function failed(
  reason: string,
  again: boolean,
  mayHaveLeft = false,
  wait_s: number | null = null,
): Extract<PushOutcome, { is: "failed" }> {
  return { is: "failed", reason, again, mayHaveLeft, wait_s };
}

function networkReason(error: unknown): string {
  if (!(error instanceof Error)) return String(error);
  if (error.name === "TimeoutError" || (error.name === "AbortError" && error.cause instanceof Error))
    return `no answer in ${answer_ms / 1000} s`;
  if ("code" in error && error.code === "ENOTFOUND") return "no such name; is the board connected to the internet?";
  // Of several addresses that were tried, the whole says nothing.
  return error.message !== "" ? error.message : String("code" in error ? error.code : error.name);
}
