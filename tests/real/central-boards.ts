// Boards of our invention on a broker, as many as a test wants: each says what a real one would publish, through the
// publisher's own topics.

import { connectAsync, type MqttClient } from "mqtt";
import type { Situation } from "../../analysis/analyzer.ts";
import type { Finding, FindingKind, Severity } from "../../analysis/findings/finding.ts";
import type { SiteInfo } from "../../daemon/server/api-types.ts";
import { site } from "../daemon/server/parts.ts";

export interface Boards {
  say(name: string, situation?: Partial<Situation>, extra?: { invented?: boolean; run?: string }): Promise<void>;
  finding(name: string, finding: Finding): Promise<void>;
  status(name: string, status: "online" | "offline"): Promise<void>;
  about(name: string, topic: "site" | "health" | "summary", content: object): Promise<void>;
  /** Anything, on any topic below the prefix. */
  raw(topic: string, payload: string): Promise<void>;
  close(): Promise<void>;
}

export const calm: Situation = {
  time_s: null,
  level_m: 0.24,
  pumpRunning: false,
  pumpSince_s: null,
  floatOn: false,
  highFloat: false,
  mainsOn: true,
  inflow: { flow_m3s: 7e-5, uFlow_m3s: 1e-6, degreesOfFreedom: 40 },
  pumpRate: null,
  levelRate_ms: 0.0004,
  startsInLastHour: 4,
  openFindings: [],
};

export const siteInfo: SiteInfo = { site, invented: false, playing: null, version: "0.0.0" };

export function openFinding(kind: FindingKind, severity: Severity, from_s = Date.now() / 1000): Finding {
  return { kind, severity, from_s, to_s: null, evidence: {}, message: `What to do about ${kind}.` };
}

export async function startBoards(url: string, prefix = "undercroft"): Promise<Boards> {
  const client: MqttClient = await connectAsync(url);
  const publish = async (topic: string, payload: string) => {
    await client.publishAsync(`${prefix}/${topic}`, payload, { qos: 1, retain: true });
  };
  return {
    say: (name, situation = {}, { invented = false, run = name } = {}) =>
      publish(`${name}/state`, JSON.stringify({ ...calm, time_s: Date.now() / 1000, ...situation, invented, run })),
    finding: (name, finding) => publish(`${name}/finding/${finding.kind}`, JSON.stringify(finding)),
    status: (name, status) => publish(`${name}/status`, status),
    about: (name, topic, content) => publish(`${name}/${topic}`, JSON.stringify(content)),
    raw: publish,
    close: () => client.endAsync(),
  };
}
