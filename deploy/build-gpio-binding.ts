// Builds the native part of `onoff` (the `epoll` package) for the Node that this project pins, and proves that it
// loads there. A binding that was built for another Node, say by `npm ci` with the machine's own headers, does not.

import { spawnSync } from "node:child_process";
import { existsSync } from "node:fs";
import { delimiter, dirname, join } from "node:path";

const project = dirname(import.meta.dirname);
const pinned = join(project, "node_modules", `node-${process.platform}-${process.arch}`);

process.exitCode = build();

function build(): number {
  if (process.platform !== "linux") return refuse(`GPIO lines exist on Linux only, and this is ${process.platform}`);
  if (!existsSync(join(project, "node_modules", "epoll"))) {
    return refuse('the optional package onoff is not installed; run "npm ci --include=optional"');
  }
  const home = [pinned, dirname(dirname(process.execPath))].find((folder) => existsSync(headersIn(folder)));
  if (home === undefined) return refuse(`no Node headers under ${pinned}; run "npm ci"`);

  const missing = missingTools();
  if (missing.length > 0) {
    return refuse(`no ${missing.join(", no ")}; on Debian: apt-get install --no-install-recommends g++ make python3`);
  }
  const built = spawnSync("npm", ["rebuild", "epoll", "--foreground-scripts"], {
    cwd: project,
    env: { ...process.env, npm_config_nodedir: home },
    encoding: "utf8",
  });
  if (built.status !== 0) {
    console.error(`${built.stdout ?? ""}${built.stderr ?? ""}`.trim());
    return refuse(`the compiler did not get through; what it said is above${built.error ? ` (${built.error})` : ""}`);
  }
  return prove(join(home, "bin", "node"));
}

function headersIn(folder: string): string {
  return join(folder, "include", "node", "node_version.h");
}

function missingTools(): string[] {
  const folders = (process.env.PATH ?? "").split(delimiter);
  return ["g++", "make", "python3"].filter((tool) => !folders.some((folder) => existsSync(join(folder, tool))));
}

function prove(node: string): number {
  const program = 'import { Gpio } from "onoff"; console.log(process.version, typeof Gpio);';
  const loaded = spawnSync(node, ["--input-type=module", "-e", program], { cwd: project, encoding: "utf8" });
  if (loaded.status !== 0 || !loaded.stdout.endsWith("function\n")) {
    console.error(loaded.stderr.trim());
    return refuse(`it was built, and ${node} cannot load it; what it said is above`);
  }
  console.log(`build:gpio: built, and loaded under Node ${loaded.stdout.split(" ")[0]}`);
  return 0;
}

function refuse(reason: string): number {
  console.error(`build:gpio: ${reason}`);
  return 1;
}
