// A candidate's keys laid over those of the site file, both as written: what the candidate gives stands, the rest stays.

type Keys = Readonly<Record<string, unknown>>;

interface Over {
  readonly basin?: Keys | undefined;
  readonly pump?: Keys | undefined;
  readonly pumps?: readonly Keys[] | undefined;
  readonly discharge?: Keys | undefined;
  readonly backup?: Keys | undefined;
}

/** Of another shape of basin the old one's sizes mean nothing. */
const ofShape = ["diameter", "width", "length", "table", "occupied_area"];
/** One of each group is given, never two. */
const sizes = ["nominal", "inside_diameter"];

/**
 * Basin, discharge and backup take over single keys; a pipe does so too. A pump is another pump: nothing of the site's
 * stays, and one in place of two, or two in place of one, takes the others away. Lists stand as a whole.
 */
export function layOver(siteKeys: unknown, { basin, pump, pumps, discharge, backup }: Over): Keys {
  const site = asKeys(siteKeys);
  const result: Record<string, unknown> = { ...site };
  if (basin !== undefined) {
    result.basin = { ...without(asKeys(site.basin), "shape" in basin ? ofShape : []), ...basin };
  }
  if (pump !== undefined || pumps !== undefined) {
    delete result.pump;
    delete result.pumps;
    if (pump !== undefined) result.pump = pump;
    if (pumps !== undefined) result.pumps = pumps;
  }
  if (discharge !== undefined) result.discharge = dischargeOver(asKeys(site.discharge), discharge);
  if (backup !== undefined) result.backup = { ...asKeys(site.backup), ...backup };
  return result;
}

function dischargeOver(site: Keys, over: Keys): Keys {
  if (!isKeys(over.pipe) || !isKeys(site.pipe)) return { ...site, ...over };
  const pipe = over.pipe;
  const otherSize = sizes.some((size) => size in pipe);
  return { ...site, ...over, pipe: { ...without(site.pipe, otherSize ? sizes : []), ...pipe } };
}

function without(keys: Keys, dropped: readonly string[]): Keys {
  return Object.fromEntries(Object.entries(keys).filter(([key]) => !dropped.includes(key)));
}

function asKeys(value: unknown): Keys {
  return isKeys(value) ? value : {};
}

function isKeys(value: unknown): value is Keys {
  return typeof value === "object" && value !== null && !Array.isArray(value);
}
