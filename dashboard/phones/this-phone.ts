// Whether this browser can be told by its push service, what stands in the way, and subscribing it.

import { phoneId } from "./phone-id.ts";

/**
 * `insecure`: browsers let only pages under https do this; `unable`: this browser cannot, or only from the home screen;
 * `forbidden`: its reader has switched notices of this page off.
 */
export type Obstacle = "insecure" | "unable" | "forbidden";

interface Surroundings {
  readonly isSecureContext: boolean;
  readonly navigator: object;
  readonly PushManager?: unknown;
  readonly Notification?: { readonly permission: string };
}

export function obstacle(here: Surroundings = globalThis as unknown as Surroundings): Obstacle | null {
  if (!here.isSecureContext) return "insecure";
  if (!("serviceWorker" in here.navigator) || here.PushManager === undefined || here.Notification === undefined)
    return "unable";
  return here.Notification.permission === "denied" ? "forbidden" : null;
}

/** Its id on the list; null while it has no subscription. */
export async function ownId(): Promise<string | null> {
  if (obstacle() === "insecure" || obstacle() === "unable") return null;
  const registration = await navigator.serviceWorker.getRegistration();
  const subscription = await registration?.pushManager.getSubscription();
  return subscription ? phoneId(subscription.endpoint) : null;
}

/**
 * Asks for leave, which browsers grant only right after a press of a button.
 * @param publicKey of the daemon; a subscription for another one is given up
 * @throws {Error} in words that the page shows
 */
export async function subscribe(publicKey: string): Promise<PushSubscription> {
  if ((await Notification.requestPermission()) !== "granted")
    throw new Error("The browser was not given leave to show notices of this page.");
  await navigator.serviceWorker.register("push-worker.js", { scope: "./", updateViaCache: "none" });
  const { pushManager } = await navigator.serviceWorker.ready;
  const before = await pushManager.getSubscription();
  if (before !== null && !isFor(before, publicKey)) await before.unsubscribe();
  try {
    return await pushManager.subscribe({ userVisibleOnly: true, applicationServerKey: publicKey });
  } catch (error) {
    const why = error instanceof Error ? error.message : String(error);
    throw new Error(`The browser got no address at its push service (${why}). Is this device on the internet?`);
  }
}

/** Nothing reaches this browser any more, whoever still has its address. */
export async function unsubscribe(): Promise<void> {
  const registration = await navigator.serviceWorker.getRegistration();
  const subscription = await registration?.pushManager.getSubscription();
  await subscription?.unsubscribe();
}

function isFor({ options }: PushSubscription, publicKey: string): boolean {
  const key = options.applicationServerKey;
  if (key === null) return false;
  const text = btoa(String.fromCharCode(...new Uint8Array(key)));
  return text.replaceAll("+", "-").replaceAll("/", "_").replaceAll("=", "") === publicKey;
}
