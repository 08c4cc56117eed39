// One attempt at a message: made through its channel, given up after a while, and what becomes of the message by its outcome.

import type { Outcome, OutgoingMessage } from "./channels/channel.ts";
import type { ChannelAtWork } from "./channels/channel-at-work.ts";
import type { MessageChange, MessageRow } from "./outbox/message-row.ts";

/** A channel that has not answered by then is given up for this time. */
const attempt_s = 90;
/** Given up, it has a moment to say what became of it. */
const graceful_ms = 5000;
/** After a round of failures over all ways: doubled each time, up to the longest. */
export const firstPause_s = 5;
export const longestPause_s = 900;
/** A proof has a day. */
const longestProofPause_s = 7200;

/** @param giveUp ends it early */
export async function tryToSend(
  { channel }: ChannelAtWork,
  message: OutgoingMessage,
  giveUp: AbortController,
): Promise<Outcome> {
  const { signal } = giveUp;
  const late = setTimeout(() => giveUp.abort(), attempt_s * 1000).unref();
  try {
    return await Promise.race([channel.send(message, signal), noEnd(signal)]);
  } catch (error) {
    return { is: "failed", reason: error instanceof Error ? error.message : String(error), again: true };
  } finally {
    clearTimeout(late);
  }
}

/** A channel that does not even give up. */
function noEnd(signal: AbortSignal): Promise<Outcome> {
  return new Promise((resolve) => {
    const giveUp = () => {
      const given: Outcome = { is: "failed", reason: "no end of it in time", again: true, mayHaveLeft: true };
      setTimeout(() => resolve(given), graceful_ms).unref();
    };
    if (signal.aborted) giveUp();
    else signal.addEventListener("abort", giveUp, { once: true });
  });
}

/**
 * @param by   name of the channel
 * @param ways how many the contact has
 * @param chance 0 to 1, for the jitter
 */
export function afterAttempt(
  lead: MessageRow,
  outcome: Outcome,
  { by, ways, now_s, chance }: { by: string; ways: number; now_s: number; chance: number },
): MessageChange {
  if (outcome.is !== "failed")
    return {
      ...{ state: "sent", sent_s: now_s, sentBy: by, reason: null },
      delivered_s: outcome.is === "delivered" ? now_s : null,
    };
  const { reason, again, mayHaveLeft = false } = outcome;
  const tries = lead.tries + 1;
  // Whoever asked for a test looks at what became of it; nobody does at a proof.
  if (lead.kind === "test") return { state: "refused", tries, reason };
  // Another way is tried at once; after all of them, a pause. One that will never work is tried in each round all the
  // same: what refuses a message today may be mended, and nothing better is left.
  const round = Math.floor(tries / ways);
  const most_s = lead.kind === "proof" ? longestProofPause_s : longestPause_s;
  const pause_s = tries % ways !== 0 ? 0 : Math.min(most_s, firstPause_s * 2 ** (round - 1));
  return {
    ...{ state: "waiting", way: lead.way + 1, tries, reason: again ? reason : `${reason} (for good)` },
    maybeSent: mayHaveLeft || lead.maybeSent,
    next_s: now_s + pause_s * (0.75 + chance / 2),
  };
}
