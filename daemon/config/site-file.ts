// A site file as it is inside: every quantity in SI, every default in place, every path absolute.
// Its syntax and its checks are in schema.ts; reading one from disk is load-site-file.ts.

import type { Channel } from "../../analysis/readings/reading.ts";
import type { Site } from "../../analysis/site.ts";
import type { AlarmsConfig } from "../alarms/alarms-config.ts";
import type { TlsFiles } from "../server/tls.ts";
import type { DatabaseConnection } from "../stores/influx/connection.ts";
import type { MqttConnection } from "./mqtt-connection.ts";
import type { OfAKind } from "./of-kinds.ts";

export interface SiteFile {
  readonly site: Site;
  /** In the order of the file; each passed the schema of its kind (daemon/sources/index.ts). */
  readonly sources: readonly SourceConfig[];
  readonly store: {
    readonly path: string;
    /** Readings are on the card after so long at most; the store's own default when it is not given. */
    readonly flush_s?: number;
    /** Older readings are dropped; 400 days when it is not given. */
    readonly keepReadings_s?: number;
    /** Channels that are kept longer or shorter than that. */
    readonly keepChannels_s?: Partial<Readonly<Record<Channel, number>>>;
  };
  readonly server: {
    readonly host: string;
    readonly port: number;
    /** For `https`; absent: `http`. */
    readonly tls?: TlsFiles;
  };
  readonly publish: { readonly mqtt: PublishMqtt | null };
  readonly alarms: AlarmsConfig;
  /** Null when the record is not forwarded. */
  readonly forward: ForwardConfig | null;
  readonly recording: RecordingConfig;
  /** Folder of the site file: relative paths in it start here. */
  readonly baseFolder: string;
}

/** What every source has; the rest is its kind's own. */
export type SourceConfig = OfAKind;

/** Where the daemon publishes its own state, cycles and findings. */
export type PublishMqtt = MqttConnection & {
  readonly topic_prefix: string;
  /** Whether alarms are answered by the broker; absent: they are not. */
  readonly acknowledge?: boolean;
  /** Whether they are shelved by the broker; absent: they are not. */
  readonly shelve?: boolean;
};

/** The shared database to which the record is forwarded. */
export type ForwardConfig = DatabaseConnection & {
  readonly basin: string;
  readonly every_s: number;
  /** The board whose name this one takes over. */
  readonly replaces: string | null;
};

/** How to read a recording that another logger wrote. */
export interface RecordingConfig {
  /** The contract's column → the logger's column. Empty: the file has the contract's own columns. */
  readonly columns: Readonly<Record<string, string>>;
  /** IANA name for stamps without an offset; null: such stamps are an error. */
  readonly timezone: string | null;
  /** Texts that mean 'no reading', beside the empty cell. */
  readonly missing: readonly string[];
}
