// Tells the central view's file from a site file, without loading what checks either.

import { readConfigText } from "../../config/load-site-file.ts";
import { parseYaml } from "../../config/yaml-document.ts";

/** It has a broker and no basin of its own. */
export function isCentralFile(path: string): boolean {
  const read = readConfigText(path);
  if (!("text" in read)) return false;
  const { keys } = parseYaml(read.text, path, "YAML");
  return typeof keys === "object" && keys !== null && "broker" in keys && !("basin" in keys);
}
