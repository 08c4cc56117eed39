// The central view's file as one strict schema: types, defaults, checks and its reference come from here. What it
// accepts is keyed as in the file; to-central-file.ts gives it its final shape.

import * as z from "zod";
import { at, evenIfIncomplete, has, lengthAt, report } from "../../config/cross-check.ts";
import { describeFound } from "../../config/explain-issue.ts";
import { checkMqttConnection, mqttConnectionKeys } from "../../config/mqtt-connection.ts";
import { quantity } from "../../config/quantity.ts";
import { timeZone } from "../../config/time-zone.ts";
import { tlsKeys } from "../../config/tls-keys.ts";
import { isLoopback } from "../../server/guard.ts";
import { basinName, checkDatabaseConnection, databaseConnectionKeys } from "../../stores/influx/connection.ts";
import { hashForm } from "../access/password.ts";

const line = (longest: number) =>
  z
    .string()
    .trim()
    .min(1)
    .max(longest)
    .regex(/^\P{Cc}*$/u, "expected a text on one line");

const view = z.strictObject({
  name: line(100).default("All basins").describe("what the page calls the whole"),
  timezone: timeZone.default("UTC").describe("IANA name; the times of the overview are in it"),
  silent_after: quantity("duration", { min: "30 s", max: "7 d" })
    .prefault("5 min")
    .describe("a basin that has not been heard for so long is called silent"),
});

const broker = z
  .strictObject({
    ...mqttConnectionKeys(),
    topic_prefix: z
      .string()
      .min(1)
      .max(200)
      .regex(/^[^+#\0$/][^+#\0]*(?<!\/)$/, {
        error: ({ input }) =>
          `expected a topic without + and #, that neither begins with / or $ nor ends with /, found ${describeFound(input)}`,
      })
      .default("undercroft")
      .describe("the boards publish under this and their name: `undercroft/elm-street-12/state`"),
  })
  .superRefine(checkMqttConnection, evenIfIncomplete);

const service = z
  .strictObject({
    due: z.iso.date().optional().describe("when the next service is due; or `last` and `every`"),
    last: z.iso.date().optional().describe("when the pump was last serviced"),
    every: quantity("duration", { min: "1 d" }).optional().describe("time between two services, such as `365 d`"),
  })
  .superRefine((keys, context) => {
    if (has(keys, "due") ? has(keys, "last") || has(keys, "every") : !(has(keys, "last") && has(keys, "every"))) {
      report(context, [], "expected either due, or last and every");
    }
  }, evenIfIncomplete);

export const basinSchema = z.strictObject({
  name: basinName.describe("the board's name: in its topics, in the database and in the page's address"),
  title: line(100).optional().describe("what people call it; by default its name"),
  group: line(60).optional().describe("what it is listed under: a street, a building, a round"),
  place: line(200).optional().describe("where to find it: `12 Elm Street, cellar, door on the left`"),
  customer: z.string().optional().describe("name of the customer whose basin it is"),
  contact: line(300).optional().describe("whom to call, and what to know before going there"),
  service: service.optional().describe("when the pump is due for service, as long as its board says nothing of it"),
  silent_after: quantity("duration", { min: "30 s", max: "7 d" })
    .optional()
    .describe("for a board that reports seldom; by default that of `view`"),
});

const customer = z.strictObject({
  name: basinName.describe("short name, for `basins[].customer` and `logins[].customer`"),
  title: line(100).describe("what the page calls the customer"),
});

const login = z
  .strictObject({
    name: line(60).describe("what is typed in at the log-in"),
    password: z
      .string()
      .regex(hashForm, "expected what `undercroft central password` prints, found something else")
      .describe("the password's hash: what `undercroft central password` prints"),
    role: z.literal("staff").optional().describe("`staff` sees every basin; or `customer`"),
    customer: z.string().optional().describe("the customer whose basins this log-in sees, and no others"),
    answers: z
      .boolean()
      .optional()
      .describe("sees to alarms of these basins and shelves them; by default staff do, and customers look on"),
  })
  .superRefine((keys, context) => {
    if (has(keys, "role") === has(keys, "customer")) report(context, [], "expected either role: staff, or a customer");
  }, evenIfIncomplete);

const server = z.strictObject({
  host: z.string().min(1).default("127.0.0.1").describe("address to listen on; `0.0.0.0` lets others in"),
  port: z.int().min(0).max(65_535).default(8048).describe("port of the page; 0 takes any that is free"),
  tls: tlsKeys.optional().describe("for `https://`; needed, with log-ins, where other machines are let in"),
  behind_tls_proxy: z
    .boolean()
    .default(false)
    .describe("a proxy on this machine speaks TLS with the outside and passes requests on"),
  session_key_file: z
    .string()
    .min(1)
    .optional()
    .describe("file that signs log-ins, made where it is missing; without one they end when the program does"),
});

const phones = z.strictObject({
  email: z
    .email({ error: ({ input }) => `expected an e-mail address, found ${describeFound(input)}` })
    .describe("yours: goes to the push services with each message, so that they can write to you (RFC 8292)"),
  file: z.string().min(1).default("phones.json").describe("where the phones and their keys are kept; made if missing"),
  tell_after: quantity("duration", { min: "10 s", max: "1 d" })
    .prefault("1 min")
    .describe("what calls for somebody must last for so long before phones are told, and be over for so long"),
  ca: z.string().min(1).optional().describe("file with the authority's certificate (PEM), where it is a private one"),
});

const { database: databaseName, ...databaseShape } = databaseConnectionKeys();

const database = z
  .strictObject({ ...databaseShape, name: databaseName })
  .superRefine(checkDatabaseConnection, evenIfIncomplete);

export const centralSchema = z
  .strictObject({
    view: view.prefault({}),
    broker,
    database: database.optional(),
    basins: z.array(basinSchema).default([]),
    basins_folder: z
      .string()
      .min(1)
      .optional()
      .describe("folder whose files `*.yaml` each hold one more basin, with the keys of `basins`"),
    customers: z.array(customer).default([]),
    logins: z.array(login).default([]),
    server: server.prefault({}),
    phones: phones.optional().describe("tells the phones on which somebody pressed the button for it"),
  })
  .superRefine(checkNames, evenIfIncomplete)
  .superRefine(checkCustomers, evenIfIncomplete)
  .superRefine(checkReach, evenIfIncomplete);

function checkNames(file: unknown, context: z.core.$RefinementCtx): void {
  for (const list of ["basins", "customers", "logins"]) {
    const seen = new Set<unknown>();
    for (let index = 0; index < lengthAt(file, list); index++) {
      const name = at(file, list, index, "name");
      if (typeof name === "string" && seen.has(name)) {
        report(context, [list, index, "name"], `expected a name given once, found ${describeFound(name)} again`);
      }
      seen.add(name);
    }
  }
}

function checkCustomers(file: unknown, context: z.core.$RefinementCtx): void {
  const known = new Set<unknown>();
  for (let index = 0; index < lengthAt(file, "customers"); index++) known.add(at(file, "customers", index, "name"));
  for (const list of ["basins", "logins"]) {
    for (let index = 0; index < lengthAt(file, list); index++) {
      const customer = at(file, list, index, "customer");
      if (typeof customer !== "string" || known.has(customer)) continue;
      report(
        context,
        [list, index, "customer"],
        `expected the name of one of customers, found ${describeFound(customer)}`,
      );
    }
  }
}

/** Whoever reaches the page from elsewhere logs in, and no password crosses a network in the clear. */
function checkReach(file: unknown, context: z.core.$RefinementCtx): void {
  const host = at(file, "server", "host");
  if (typeof host !== "string" || (isLoopback(host) && at(file, "server", "behind_tls_proxy") !== true)) return;
  if (lengthAt(file, "logins") === 0) {
    report(context, ["server", "host"], `expected logins where other machines are let in (${host}), found none`);
  }
  if (!has(file, "server", "tls") && at(file, "server", "behind_tls_proxy") !== true) {
    report(context, ["server", "host"], `expected server.tls where other machines are let in (${host}), found none`);
  }
}

export type CentralKeys = z.output<typeof centralSchema>;
export type BasinKeys = z.output<typeof basinSchema>;
