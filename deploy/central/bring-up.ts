// Starts the services in their order, and makes the database's accounts as soon as it answers.

import { join } from "node:path";
import { setTimeout as sleep } from "node:timers/promises";
import { loadMachine } from "./machine.ts";
import { Mistake } from "./mistake.ts";
import type { Places } from "./places.ts";
import * as services from "./services.ts";
import { prepareDatabase } from "./set-up.ts";

const patience_ms = 30_000;

/** @returns what to tell the person */
export async function bringUp(places: Places): Promise<string[]> {
  if (!services.areServicesHere(places)) {
    throw new Mistake("the files are made; systemd does not look after this tree, so start the services by hand");
  }
  services.refuseServicesOfPackages();
  services.keepUnits(places);
  for (const service of ["broker", "database"] as const) services.startService(service);
  await untilDone(() => prepareDatabase(places));
  services.startService("view");
  services.startTimer();
  for (const service of ["broker", "database", "view"] as const) services.takeUp(places, service, "restart");
  const { names, pagePort } = loadMachine(places);
  return [
    `Up. The page: https://${names[0]}:${pagePort}/`,
    `Log in as staff; the password is in ${join(places.secrets, "staff")}.`,
    `Browsers know the page by the authority's certificate, ${join(places.tls, "ca.pem")}.`,
    "Enrol a board: undercroft-central enrol <name>",
  ];
}

/** A database that has just been started does not answer yet. */
async function untilDone(work: () => Promise<void>): Promise<void> {
  const end_ms = performance.now() + patience_ms;
  for (;;) {
    try {
      return await work();
    } catch (error) {
      if (!(error instanceof Mistake) || performance.now() > end_ms) throw error;
      await sleep(500);
    }
  }
}
