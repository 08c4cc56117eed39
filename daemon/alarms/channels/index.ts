// Every kind of channel there is. The site file's schema, the contract tests and the documents read this list: a new kind
// is its file and one line here.

import type { ChannelKind } from "./channel.ts";

export const channelKinds: readonly ChannelKind[] = [];
