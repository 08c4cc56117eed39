// The program: all its commands.

import { runCommandLine } from "./command-line.ts";
import { register as registerAlarms } from "./commands/alarms.ts";
import { register as registerCentral } from "./commands/central.ts";
import { register as registerDemo } from "./commands/demo.ts";
import { register as registerRebuild } from "./commands/rebuild.ts";
import { register as registerRun } from "./commands/run.ts";
import { register as registerStore } from "./commands/store.ts";
import { quickCommands } from "./quick-commands.ts";

await runCommandLine([
  registerRun,
  registerDemo,
  ...quickCommands,
  registerRebuild,
  registerStore,
  registerAlarms,
  registerCentral,
]);
