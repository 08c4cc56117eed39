// What a channel is given in tests: a message, and a context that notes what the channel says.

import { join } from "node:path";
import type { ChannelContext, OutgoingMessage } from "../../../../daemon/alarms/channels/channel.ts";

export interface Heard {
  readonly log: string[];
  readonly replies: { readonly from: string; readonly text: string }[];
  readonly receipts: { readonly key: string; readonly delivered: boolean; readonly reason: string | null }[];
}

export function listeningChannel(
  baseFolder: string,
  more: Partial<ChannelContext> = {},
): { readonly context: ChannelContext; readonly heard: Heard } {
  const heard: Heard = { log: [], replies: [], receipts: [] };
  return {
    heard,
    context: {
      ...{ siteName: "Hill House", addresses: [], baseFolder, now_s: () => Date.now() / 1000 },
      beside: (ending) => join(baseFolder, `site.${ending}`),
      log: (line) => heard.log.push(line),
      onReply: (from, text) => heard.replies.push({ from, text }),
      onReceipt: (key, delivered, reason) => heard.receipts.push({ key, delivered, reason }),
      ...more,
    },
  };
}

export const message: OutgoingMessage = {
  key: "m17-raised-high-water-3",
  to: "",
  priority: "high",
  subject: "Hill House: high water",
  text: "Hill House: high water 41 cm, pump runs",
  body: "High water 41 cm.\nThe pump runs.",
  link: "https://basin.example.org/ack/abc",
  maybeRepeated: false,
  data: { message: 17, site: "Hill House" },
};
