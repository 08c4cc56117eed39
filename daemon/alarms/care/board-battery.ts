// The board's own battery, as the kernel shows it (Documentation/ABI/testing/sysfs-class-power).

import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";

export interface BatteryCharge {
  /** 0 to 1. */
  readonly share: number;
  readonly discharging: boolean;
}

const supplies = "/sys/class/power_supply";

/**
 * @param folder of the battery; null: the first battery there is
 * @returns null where there is none, or it does not say how full it is
 */
export function readBattery(folder: string | null, root = supplies): BatteryCharge | null {
  const at = folder ?? firstBattery(root);
  if (at === null) return null;
  const capacity = Number(read(join(at, "capacity")));
  if (!Number.isFinite(capacity) || read(join(at, "capacity")) === "") return null;
  return { share: Math.min(1, Math.max(0, capacity / 100)), discharging: read(join(at, "status")) === "Discharging" };
}

function firstBattery(root: string): string | null {
  try {
    const found = readdirSync(root)
      .sort()
      .find((name) => read(join(root, name, "type")) === "Battery");
    return found === undefined ? null : join(root, found);
  } catch {
    return null;
  }
}

function read(path: string): string {
  try {
    return readFileSync(path, "utf8").trim();
  } catch {
    return "";
  }
}

/** Low under a fifth, well again from a quarter on: the deadband keeps a battery at the mark from coming and going. */
export function createBatteryWatch(): (
  charge: BatteryCharge | null,
  now_s: number,
) => { readonly share: number; readonly discharging: boolean; readonly since_s: number } | null {
  let low_s: number | null = null;
  return (charge, now_s) => {
    if (charge === null || !charge.discharging || charge.share >= (low_s === null ? 0.2 : 0.25)) {
      low_s = null;
      return null;
    }
    low_s ??= now_s;
    return { ...charge, since_s: low_s };
  };
}
