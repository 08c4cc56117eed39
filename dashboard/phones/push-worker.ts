// Stands behind the page on the phone: shows what the push service brings, also while no page is open, and takes the answer.

import { afterEnd, answerAction, type NoticeData, noticeOf, readNote, unreadable, whereTo } from "./show-note.ts";

interface WorkerScope {
  readonly registration: ServiceWorkerRegistration;
  readonly clients: {
    claim(): Promise<void>;
    matchAll(options: object): Promise<readonly { readonly url: string; focus(): Promise<unknown> }[]>;
    openWindow(url: string): Promise<unknown>;
  };
  skipWaiting(): Promise<void>;
  addEventListener(kind: string, take: (event: WorkerEvent) => void): void;
}

interface WorkerEvent {
  waitUntil(done: Promise<unknown>): void;
  readonly data?: { text(): string } | null;
  readonly action?: string;
  readonly notification?: Notification;
  readonly oldSubscription?: PushSubscription | null;
  readonly newSubscription?: PushSubscription | null;
}

const worker = globalThis as unknown as WorkerScope;

worker.addEventListener("install", (event) => event.waitUntil(worker.skipWaiting()));
worker.addEventListener("activate", (event) => event.waitUntil(worker.clients.claim()));
worker.addEventListener("push", (event) => event.waitUntil(show(event.data?.text() ?? "")));
worker.addEventListener("notificationclick", (event) => {
  if (event.notification) event.waitUntil(follow(event.notification, event.action === answerAction));
});
worker.addEventListener("pushsubscriptionchange", (event) => event.waitUntil(renew(event)));

async function show(text: string): Promise<void> {
  const note = readNote(text) ?? unreadable;
  const { registration } = worker;
  const standing = note.tag === "" ? [] : await registration.getNotifications({ tag: note.tag });
  const { title, options } = noticeOf(
    note,
    standing.map(({ data }) => (data as NoticeData | null)?.key ?? ""),
  );
  await registration.showNotification(title, options);
  if (note.over.length > 0) await takeOff(note.over, note.tag);
  // Away from home the page may not be reached: then nobody learns that it was shown.
  if (note.phone !== "") await post("api/phones/shown", { phone: note.phone, key: note.key }).catch(() => {});
}

/** Notices that told of several things at once go when the last of them is over. */
async function takeOff(over: readonly string[], but: string): Promise<void> {
  const { registration } = worker;
  for (const notice of await registration.getNotifications()) {
    if (notice.tag === but) continue;
    const next = afterEnd(notice, over);
    if (next === "gone") notice.close();
    else if (next !== null) await registration.showNotification(next.title, next.options);
  }
}

async function follow(notification: Notification, answers: boolean): Promise<void> {
  const { url, canAnswer, lasts } = notification.data as NoticeData;
  const to = whereTo(url, worker.registration.scope);
  notification.close();
  if (answers && canAnswer && (await acknowledge(to))) {
    return worker.registration.showNotification(notification.title, {
      ...{ body: "Noted: nobody further is called.", tag: notification.tag, silent: true },
      ...{ icon: "icon-192.png", data: { key: "", url, canAnswer: false, lasts } satisfies NoticeData },
    });
  }
  const open = await worker.clients.matchAll({ type: "window", includeUncontrolled: true });
  const same = open.find((client) => client.url === to);
  if (same === undefined) await worker.clients.openWindow(to);
  else await same.focus();
}

/** By the button of the page behind the link; where that cannot be reached, the page is opened and says so. */
async function acknowledge(to: string): Promise<boolean> {
  if (new URL(to).origin !== new URL(worker.registration.scope).origin) return false;
  const headers = { "content-type": "application/x-www-form-urlencoded" };
  return fetch(to, { method: "POST", headers, body: "" }).then(
    ({ ok }) => ok,
    () => false,
  );
}

/** The browser has given the phone another address at its push service. */
async function renew({ oldSubscription: old, newSubscription }: WorkerEvent): Promise<void> {
  if (!old) return;
  const subscription = newSubscription ?? (await worker.registration.pushManager.subscribe(old.options));
  await post("api/phones/renew", { replaces: old.endpoint, subscription: subscription.toJSON() });
}

async function post(path: string, body: object): Promise<void> {
  await fetch(new URL(path, worker.registration.scope), {
    method: "POST",
    headers: { "content-type": "application/json" },
    body: JSON.stringify(body),
  });
}
