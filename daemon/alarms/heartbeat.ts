// Tells an address of the user's choice, every few minutes, that the board lives and its alarms look. Whoever watches that
// address raises the alarm when it stays away: the one fault that a board cannot tell of itself.

import type { Schedule } from "../sources/schedule.ts";
import { explainNetworkError } from "./channels/explain-network-error.ts";

export interface HeartbeatHealth {
  /** Who is told, without the path, which may be a secret. */
  readonly host: string;
  readonly every_s: number;
  /** When it last answered; null: not since the start. */
  readonly answered_s: number | null;
  /** Why it does not get through; null while it does. */
  readonly problem: string | null;
}

export interface Heartbeat {
  health(): HeartbeatHealth;
  close(): void;
}

const answer_ms = 15_000;
/** What got lost on the way is sent again before whoever waits for it loses patience. */
const soonAgain_s = 60;

export function startHeartbeat(
  { url, every_s }: { readonly url: string; readonly every_s: number },
  {
    schedule,
    now_s,
    unwatched,
    log,
  }: {
    readonly schedule: Schedule;
    now_s(): number;
    /** Why nobody would be told of anything, so that it must stay away; null: all is well. */
    unwatched(): string | null;
    log(line: string): void;
  },
): Heartbeat {
  let problem: string | null = null;
  let answered_s: number | null = null;
  let cancel: (() => void) | null = null;
  let closed = false;
  const { host } = new URL(url);

  async function beat(): Promise<void> {
    const found = unwatched() ?? (await ask(url));
    if (closed) return;
    if (found !== problem) log(found === null ? `heartbeat: ${host} answers again` : `heartbeat: ${host}: ${found}`);
    problem = found;
    if (found === null) answered_s = now_s();
    cancel = schedule(() => void beat(), found === null ? every_s : Math.min(soonAgain_s, every_s));
  }
  void beat();
  return {
    health: () => ({ host, every_s, answered_s, problem }),
    close() {
      closed = true;
      cancel?.();
    },
  };
}

async function ask(url: string): Promise<string | null> {
  try {
    const answer = await fetch(url, { redirect: "manual", signal: AbortSignal.timeout(answer_ms) });
    await answer.body?.cancel();
    return answer.ok ? null : `answers ${answer.status}; check heartbeat.url`;
  } catch (error) {
    return explainNetworkError(error, answer_ms / 1000);
  }
}
