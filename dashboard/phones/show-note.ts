// What a phone shows of a message that it was sent, and where a tap on it leads. Pure; push-worker.ts does it.

import type { PushNote } from "../../daemon/server/phones-types.ts";

/** Beside what every browser knows, what those with more room do. */
export interface NoticeOptions extends NotificationOptions {
  readonly renotify: boolean;
  readonly actions: readonly { readonly action: string; readonly title: string }[];
  readonly data: NoticeData;
}

export interface NoticeData {
  readonly key: string;
  readonly url: string | null;
  readonly canAnswer: boolean;
  /** What it tells of and what still lasts of that; empty where it tells of nothing that can be over. */
  readonly lasts: readonly string[];
}

/** What stands on the screen, as the browser gives it. */
export interface ShownNotice {
  readonly title: string;
  readonly body: string;
  readonly tag: string;
  readonly requireInteraction: boolean;
  readonly data: NoticeData | null;
}

export const answerAction = "answer";

/** @returns null when it is none of ours */
export function readNote(text: string): PushNote | null {
  try {
    const note: Partial<PushNote> | null = JSON.parse(text);
    if (typeof note?.title !== "string" || typeof note.text !== "string") return null;
    const { key = "", tag = "", title, text: said, url = null, canAnswer = false, stays = false, phone = "" } = note;
    const { lasts = [], over = [] } = note;
    return { key, tag, title, text: said, url, canAnswer, stays, lasts, over, phone };
  } catch {
    return null;
  }
}

/** @param shown keys of what stands on the screen of the same tag: a repetition makes no sound */
export function noticeOf(note: PushNote, shown: readonly string[]): { title: string; options: NoticeOptions } {
  const { key, tag, title, text, url, canAnswer, stays, lasts } = note;
  return {
    title,
    options: {
      ...{ body: text, tag, icon: "icon-192.png", badge: "icon-192.png" },
      renotify: tag !== "" && !shown.includes(key),
      requireInteraction: stays,
      actions: canAnswer ? [{ action: answerAction, title: "I'll see to it" }] : [],
      data: { key, url, canAnswer, lasts },
    },
  };
}

/**
 * What the end of something does to a notice that tells of it, perhaps among others.
 *
 * @returns null: nothing; `gone`: all that it tells of is over; else the same notice as it is to be shown, without a sound
 */
export function afterEnd(
  { title, body, tag, requireInteraction, data }: ShownNotice,
  over: readonly string[],
): null | "gone" | ReturnType<typeof noticeOf> {
  const { key = "", url = null, canAnswer = false, lasts = [] } = data ?? {};
  const left = lasts.filter((each) => !over.includes(each));
  if (left.length === lasts.length) return null;
  if (left.length === 0) return "gone";
  const same = { key, tag, title, text: body, url, canAnswer, stays: requireInteraction, lasts: left };
  const again = noticeOf({ ...same, over: [], phone: "" }, [key]);
  return { title, options: { ...again.options, silent: true } };
}

/** Something came that cannot be read; browsers want each push shown. */
export const unreadable: PushNote = {
  ...{ key: "", tag: "", title: "Undercroft", text: "There is something to see. Open the page." },
  ...{ url: null, canAnswer: false, stays: false, lasts: [], over: [], phone: "" },
};

/** @param scope of the worker: the folder of the page */
export function whereTo(url: string | null, scope: string): string {
  const page = new URL("#alarms", scope).href;
  if (url === null || !URL.canParse(url, scope)) return page;
  const to = new URL(url, scope);
  return to.protocol === "https:" || to.protocol === "http:" ? to.href : page;
}
