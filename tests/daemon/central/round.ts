// A central view of our invention without a broker: what its boards say is handed over directly. For tests of routes and
// pages, and for the pictures.

import type { Situation } from "../../../analysis/analyzer.ts";
import type { Finding } from "../../../analysis/findings/finding.ts";
import type { BrokerEar, BrokerEarOptions } from "../../../daemon/central/broker-ear.ts";
import type { CentralFile, EnrolledBasin, Login } from "../../../daemon/central/config/central-file.ts";
import { type Central, type CentralOptions, runCentral } from "../../../daemon/central/run-central.ts";
import { encodeJson } from "../../../daemon/server/encode-json.ts";
import { calm } from "../../real/central-boards.ts";

export interface Round extends Central {
  say(name: string, situation?: Partial<Situation>, how?: { kept?: boolean; run?: string; invented?: boolean }): void;
  finding(name: string, finding: Finding): void;
  tell(name: string, topic: string, payload: string, kept?: boolean): void;
  /** What the broker keeps of what is only heard when asked for. */
  keep(name: string, topic: "site" | "health" | "summary", content: object): void;
  /** What the broker was given for boards. */
  readonly told: readonly { readonly basin: string; readonly topic: string; readonly payload: string }[];
  broker: { hearing_s: number | null; lost: ReturnType<BrokerEar["lost"]> };
}

export interface RoundOptions {
  readonly basins?: readonly (Partial<EnrolledBasin> & { readonly name: string })[];
  readonly customers?: CentralFile["customers"];
  readonly logins?: readonly Login[];
  readonly server?: Partial<CentralFile["server"]>;
  readonly name?: string;
  readonly phones?: CentralFile["phones"];
  readonly central?: Partial<CentralOptions>;
}

export function basin(given: Partial<EnrolledBasin> & { readonly name: string }): EnrolledBasin {
  const nothing = { group: null, place: null, customer: null, contact: null, serviceDue_s: null };
  return { title: given.name, ...nothing, silentAfter_s: 300, ...given };
}

export async function startRound(options: RoundOptions = {}): Promise<Round> {
  const {
    basins = [],
    customers = new Map(),
    logins = [],
    server = {},
    name = "Invented round",
    phones = null,
  } = options;
  const centralFile: CentralFile = {
    view: { name, timezone: "UTC", silentAfter_s: 300 },
    broker: { url: "mqtt://127.0.0.1:9", topic_prefix: "undercroft" },
    database: null,
    basins: basins.map(basin),
    customers,
    logins,
    server: { host: "127.0.0.1", port: 0, tls: null, behindTlsProxy: false, sessionKeyFile: null, ...server },
    phones,
    baseFolder: "/",
  };
  const now_s = options.central?.clock?.now_s ?? (() => Date.now() / 1000);
  const broker: Round["broker"] = { hearing_s: now_s() - 3600, lost: null };
  const kept = new Map<string, string>();
  const asking = new Map<string, (topic: string, payload: Buffer) => void>();
  const told: { basin: string; topic: string; payload: string }[] = [];
  let ear: BrokerEarOptions | null = null;

  const central = await runCentral(centralFile, {
    log() {},
    async openEar(_file, given) {
      ear = given;
      return {
        hearing_s: () => broker.hearing_s,
        lost: () => broker.lost,
        ask(basin, topics, take) {
          for (const topic of topics) {
            asking.set(`${basin}/${topic}`, take);
            const text = kept.get(`${basin}/${topic}`);
            if (text !== undefined) setImmediate(() => take(topic, Buffer.from(text)));
          }
          return () => {
            if (topics.some((topic) => asking.get(`${basin}/${topic}`) !== take)) return;
            for (const topic of topics) asking.delete(`${basin}/${topic}`);
          };
        },
        async tell(basin, topic, payload) {
          if (broker.lost !== null) throw new Error(broker.lost.reason);
          told.push({ basin, topic, payload });
          given.take({ basin, topic, payload: Buffer.from(payload), kept: false });
        },
        close: async () => {},
      };
    },
    ...options.central,
  });

  const tell = (name: string, topic: string, payload: string, isKept = false) =>
    ear?.take({ basin: name, topic, payload: Buffer.from(payload), kept: isKept });
  return {
    ...central,
    broker,
    told,
    tell,
    say(name, situation = {}, { kept: isKept = false, run = name, invented = false } = {}) {
      tell(name, "state", encodeJson({ ...calm, time_s: now_s(), ...situation, run, invented }), isKept);
    },
    finding: (name, finding) => tell(name, `finding/${finding.kind}`, encodeJson(finding)),
    keep(name, topic, content) {
      kept.set(`${name}/${topic}`, encodeJson(content));
      asking.get(`${name}/${topic}`)?.(topic, Buffer.from(encodeJson(content)));
    },
  };
}
