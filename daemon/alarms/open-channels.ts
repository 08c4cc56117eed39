// Opens the channels of the site file. One that cannot be opened is tried again by each message, and says meanwhile why:
// a modem that is plugged in later is found without a restart.

import type { OfAKind } from "../config/of-kinds.ts";
import type { ChannelContext, ChannelKind, OpenChannel, Outcome } from "./channels/channel.ts";
import type { ChannelAtWork } from "./channels/channel-at-work.ts";

export interface Channels {
  readonly byName: ReadonlyMap<string, ChannelAtWork>;
  close(): Promise<void>;
}

/** @param kinds those that the configurations may name; each configuration passed the schema of its kind */
export function openChannels(
  configs: readonly OfAKind[],
  kinds: readonly ChannelKind[],
  context: (name: string) => ChannelContext,
): Channels {
  const opened = configs.flatMap((config) => {
    const kind = kinds.find((each) => each.kind === config.kind);
    return kind === undefined ? [] : [whenNeeded(kind, config, context(config.name))];
  });
  return {
    byName: new Map(opened.map((channel) => [channel.name, channel])),
    async close() {
      await Promise.all(opened.map(({ channel }) => channel.close()));
    },
  };
}

function whenNeeded(kind: ChannelKind, config: OfAKind, context: ChannelContext): ChannelAtWork {
  let opening: Promise<OpenChannel> | null = null;
  let open: OpenChannel | null = null;
  let problem: string | null = null;
  const get = async (): Promise<OpenChannel | null> => {
    opening ??= (async () => kind.open(config, context))();
    try {
      open = await opening;
      problem = null;
      return open;
    } catch (error) {
      opening = null;
      problem = error instanceof Error ? error.message : String(error);
      return null;
    }
  };
  /** At once, or when it is open; one that cannot be opened has nothing that goes on. */
  const whenOpen = (act: (channel: OpenChannel) => void) => {
    if (open !== null) act(open);
    else opening?.then(act, () => {});
  };
  // At the start, not with the first alarm: a channel that cannot work is to be seen on the page before that.
  void get().then((channel) => {
    if (channel === null) context.log(`alarms: channel ${config.name}: ${problem}`);
  });
  return {
    name: config.name,
    comparesKeys: kind.comparesKeys,
    wordless: kind.wordless === true,
    takesReplies: kind.takesReplies,
    channel: {
      async send(message, signal): Promise<Outcome> {
        const channel = open ?? (await get());
        if (channel === null) return { is: "failed", reason: problem ?? "it cannot be opened", again: true };
        return channel.send(message, signal);
      },
      silence: (occurrences) => whenOpen((channel) => channel.silence?.(occurrences)),
      resume: (...told) => whenOpen((channel) => channel.resume?.(...told)),
      get phones() {
        return open?.phones;
      },
      health: (to) => (open === null ? { problem: problem ?? "not opened yet", note: null } : open.health(to)),
      async close() {
        const channel = await opening?.catch(() => null);
        await channel?.close();
      },
    },
  };
}
