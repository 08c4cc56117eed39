// A channel of the site file that was opened: by its name, with what its kind is known to do.

import type { OpenChannel } from "./channel.ts";

export interface ChannelAtWork {
  readonly name: string;
  readonly channel: OpenChannel;
  readonly comparesKeys: boolean;
  /** Nothing can be explained by it. */
  readonly wordless?: boolean;
  readonly takesReplies: boolean;
}
