// For a command that checks one site file and is done: to compile the checks takes longer than to go through them once.
// To be imported before any schema.

import { config } from "zod";

config({ jitless: true });
