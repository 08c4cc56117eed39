// Every kind of channel there is. The site file's schema, the contract tests and the documents read this list: a new kind
// is its file and one line here.

import { annunciator } from "./annunciator.ts";
import type { ChannelKind } from "./channel.ts";
import { email } from "./email.ts";
import { mqtt } from "./mqtt.ts";
import { smsModem } from "./sms-modem.ts";
import { webPush } from "./web-push.ts";
import { webhook } from "./webhook.ts";

export const channelKinds: readonly ChannelKind[] = [smsModem, email, webPush, webhook, mqtt, annunciator];
