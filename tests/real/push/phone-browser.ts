// A browser as a phone has it, for what it does with its maker's push service alone: it has no address there while it is
// offline, so that the test's own service is put in, and what would come from there is handed over by the browser's debugging
// interface.

import type { BrowserContext, Page, Worker } from "playwright-core";
import type { PushService, Browser as Subscriber } from "./push-service.ts";

/** From now on, pages of the context get addresses at the service. @returns the last that one got */
export async function putPushServiceIn(
  context: BrowserContext,
  service: PushService,
): Promise<() => Subscriber | null> {
  let subscriber: Subscriber | null = null;
  await context.exposeFunction("subscribeAt", (key: string) => {
    subscriber = service.subscribe(key);
    return subscriber.subscription;
  });
  await context.addInitScript(standIn);
  return () => subscriber;
}

/** In the page: subscriptions as a browser that is online has them. */
function standIn(): void {
  interface Given {
    endpoint: string;
    keys: object;
  }
  let given: object | null = null;
  const scope = globalThis as unknown as {
    PushManager: { prototype: object };
    subscribeAt(key: string): Promise<Given>;
  };
  Object.assign(scope.PushManager.prototype, {
    async getSubscription() {
      return given;
    },
    async subscribe({ applicationServerKey }: { applicationServerKey: string }) {
      const { endpoint, keys } = await scope.subscribeAt(applicationServerKey);
      given = {
        ...{ endpoint, options: { applicationServerKey: null }, toJSON: () => ({ endpoint, keys }) },
        async unsubscribe() {
          given = null;
          return true;
        },
      };
      return given;
    },
  });
}

/** What a browser does when its push service brings something: its service worker is given what was opened. */
export async function handOver(page: Page, text: string): Promise<void> {
  await page.evaluate(async () => {
    const { active } = await navigator.serviceWorker.ready;
    // One that is still being activated would be passed over.
    while (active !== null && active.state !== "activated")
      await new Promise((done) => active.addEventListener("statechange", done, { once: true }));
  });
  const devTools = await page.context().newCDPSession(page);
  const known = Promise.withResolvers<string>();
  devTools.on("ServiceWorker.workerRegistrationUpdated", ({ registrations }) => {
    const mine = registrations.find(({ scopeURL }) => page.url().startsWith(scopeURL));
    if (mine !== undefined) known.resolve(mine.registrationId);
  });
  await devTools.send("ServiceWorker.enable");
  const registrationId = await known.promise;
  await devTools.send("ServiceWorker.deliverPushMessage", {
    origin: new URL(page.url()).origin,
    registrationId,
    data: text,
  });
}

export interface Shown {
  readonly title: string;
  readonly body: string;
  readonly stays: boolean;
  readonly again: boolean;
  readonly actions: string[];
}

/** The service worker, which from now on notes what it has shown: asking the browser drops what is not on the screen yet. */
export async function listenToWorker(context: BrowserContext): Promise<Worker> {
  const worker = context.serviceWorkers()[0] ?? (await context.waitForEvent("serviceworker"));
  await worker.evaluate(() => {
    const scope = globalThis as unknown as { shown?: object[]; registration: ServiceWorkerRegistration };
    if (scope.shown !== undefined) return;
    scope.shown = [];
    const { registration } = scope;
    const show = registration.showNotification.bind(registration);
    registration.showNotification = async (title, options = {}) => {
      const { actions = [], renotify } = options as { actions?: { title: string }[]; renotify?: boolean };
      await show(title, options);
      scope.shown?.push({
        ...{ title, body: options.body, stays: options.requireInteraction === true, again: renotify === true },
        actions: actions.map((each) => each.title),
      });
    };
  });
  return worker;
}

/** All that it has shown so far, as soon as it is so many. */
export async function untilShown(worker: Worker, count: number): Promise<Shown[]> {
  for (const end_ms = performance.now() + 30_000; ; ) {
    const shown = await worker.evaluate(() => (globalThis as unknown as { shown: Shown[] }).shown);
    if (shown.length >= count) return shown;
    if (performance.now() > end_ms) throw new Error(`not in time: ${JSON.stringify(shown)}`);
  }
}
