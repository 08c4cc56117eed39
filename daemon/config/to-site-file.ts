// From the checked keys of a site file to the form that the program works with. No checks here: schema.ts made them.

import { dirname, resolve } from "node:path";
import type { SiteFileKeys } from "./schema.ts";
import { toAlarmsConfig } from "./sections/alarms.ts";
import { toBackupSite } from "./sections/backup.ts";
import { toBasinSite } from "./sections/basin.ts";
import { toDesign } from "./sections/design.ts";
import { toDischargeSite } from "./sections/discharge.ts";
import { toForwardConfig } from "./sections/forward.ts";
import { toMeasurementSite } from "./sections/measurement.ts";
import { toPumpSite, toPumpSites } from "./sections/pump.ts";
import { toRecordingConfig } from "./sections/recording.ts";
import { toStoreConfig } from "./sections/store.ts";
import type { SiteFile } from "./site-file.ts";

/** @param path of the site file; relative paths in it start at its folder */
export function toSiteFile(keys: SiteFileKeys, path: string): SiteFile {
  const baseFolder = dirname(resolve(path));
  const mqtt = keys.publish?.mqtt;
  const pumps = keys.pumps && toPumpSites(keys.pumps);
  return {
    site: {
      name: keys.site.name,
      timezone: keys.site.timezone,
      displayUnits: keys.site.display_units,
      basin: toBasinSite(keys.basin),
      pump: pumps?.[0] ?? (keys.pump === undefined ? null : toPumpSite(keys.pump)),
      ...(pumps !== undefined && { pumps }),
      discharge:
        keys.discharge === undefined
          ? null
          : toDischargeSite(
              keys.discharge,
              keys.pumps?.map(({ riser }) => riser),
            ),
      ...(keys.measurement !== undefined && { measurement: toMeasurementSite(keys.measurement) }),
      design: toDesign(keys.design),
      ...(keys.backup !== undefined && { backup: toBackupSite(keys.backup) }),
    },
    sources: keys.sources,
    store: toStoreConfig(keys.store ?? {}, baseFolder, path),
    server: {
      ...{ host: keys.server.host, port: keys.server.port },
      ...(keys.server.tls !== undefined && {
        tls: { cert: resolve(baseFolder, keys.server.tls.cert), key: resolve(baseFolder, keys.server.tls.key) },
      }),
    },
    publish: {
      mqtt: mqtt === undefined ? null : { ...mqtt, topic_prefix: mqtt.topic_prefix ?? topicFor(keys.site.name) },
    },
    alarms: toAlarmsConfig(keys.alarms),
    forward: keys.forward === undefined ? null : toForwardConfig(keys.forward),
    recording: toRecordingConfig(keys.recording),
    baseFolder,
  };
}

function topicFor(siteName: string): string {
  const plain = siteName.normalize("NFKD").toLowerCase().replaceAll(/\p{M}/gu, "");
  const slug = plain.replaceAll(/[^\p{L}\p{N}]+/gu, "-").replaceAll(/^-|-$/g, "");
  return `undercroft/${slug === "" ? "site" : slug}`;
}
