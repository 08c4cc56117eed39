// The commands that work something off and are done. Much of their time is the start: each is packed by itself (pack.ts).

import type { Register } from "./command-line.ts";
import { register as registerAnalyze } from "./commands/analyze.ts";
import { register as registerCheck } from "./commands/check.ts";
import { register as registerSize } from "./commands/size.ts";
import { register as registerWhatIf } from "./commands/whatif.ts";

export const quickCommands: readonly Register[] = [registerAnalyze, registerSize, registerWhatIf, registerCheck];
