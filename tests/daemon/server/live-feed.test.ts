import { ServerResponse } from "node:http";
import { afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import { createLiveFeed, type LiveFeed } from "../../../daemon/server/live-feed.ts";
import { cycle, finding, testParts } from "./parts.ts";

/** A client that keeps what it is sent; `unread_bytes` is what waits in its socket. */
function client(unread_bytes = 0) {
  const events: string[] = [];
  const request = Object.assign(Object.create({}), { method: "GET", headers: {}, httpVersionMajor: 1 });
  const response = new ServerResponse(request);
  let gone = false;
  Object.defineProperty(response, "writableLength", { value: unread_bytes });
  response.write = (text: string) => {
    events.push(...[...text.matchAll(/^event: (\w+)$/gm)].map((found) => found[1] ?? ""));
    return true;
  };
  response.destroy = () => {
    gone = true;
    response.emit("close");
    return response;
  };
  response.end = () => response.destroy();
  return { response, events, gone: () => gone };
}

const { state } = testParts();
let feed: LiveFeed;
beforeEach(() => {
  vi.useFakeTimers();
  feed = createLiveFeed(state);
});
afterEach(() => {
  feed.close();
  vi.useRealTimers();
});

describe("the live feed", () => {
  it("says the state at once to whoever comes", () => {
    const page = client();
    expect(feed.attach(page.response, {})).toBe(true);
    expect(page.events).toEqual(["state"]);
  });

  it("says at most two states a second, however many readings come", () => {
    const page = client();
    feed.attach(page.response, {});
    for (let ms = 0; ms < 3000; ms++) {
      feed.changed();
      vi.advanceTimersByTime(1);
    }
    expect(page.events.length).toBeGreaterThanOrEqual(6);
    expect(page.events.length).toBeLessThanOrEqual(8);
  });

  it("does not keep a change of the pump waiting", () => {
    const page = client();
    feed.attach(page.response, {});
    feed.changed();
    vi.advanceTimersByTime(1);
    feed.changed(true);
    vi.advanceTimersByTime(100);
    expect(page.events).toEqual(["state", "state", "state"]);
  });

  it("passes cycles and findings on to every page", () => {
    const pages = [client(), client()];
    for (const page of pages) feed.attach(page.response, {});
    feed.cycle(cycle);
    feed.finding(finding);
    for (const page of pages) expect(page.events.slice(1)).toEqual(["cycle", "finding"]);
  });

  it("lets go of a client that does not read, and keeps the others", () => {
    const [slow, quick] = [client(2_000_000), client()];
    feed.attach(slow.response, {});
    feed.attach(quick.response, {});
    feed.cycle(cycle);
    expect(slow.gone()).toBe(true);
    expect(quick.events).toEqual(["state", "cycle"]);
    expect(feed.listeners()).toBe(1);
  });

  it("does nothing while nobody listens", () => {
    feed.changed();
    feed.cycle(cycle);
    expect(vi.getTimerCount()).toBe(0);
  });

  it("takes no more than 50 clients", () => {
    for (let n = 0; n < 50; n++) expect(feed.attach(client().response, {})).toBe(true);
    expect(feed.attach(client().response, {})).toBe(false);
  });

  it("ends every connection when it is closed, and takes none afterwards", () => {
    const page = client();
    feed.attach(page.response, {});
    feed.close();
    expect(page.gone()).toBe(true);
    expect(feed.attach(client().response, {})).toBe(false);
  });
});
