// The API's description in OpenAPI 3.1, from the schemas that the routes check requests with and those of the answers.

import * as z from "zod";
import { actBody, servicedBody, serviceUndoneBody, testBody } from "../routes/alarms.ts";
import { budgetQuery } from "../routes/budget.ts";
import { cyclesQuery } from "../routes/cycles.ts";
import { findingsQuery } from "../routes/findings.ts";
import { inflowQuery } from "../routes/inflow.ts";
import { levelQuery } from "../routes/level.ts";
import { addPhoneBody, removePhoneBody, renewPhoneBody, shownBody, testPhonesBody } from "../routes/phones.ts";
import { speedBody } from "../routes/speed.ts";
import { alarmsAnswer } from "./alarms-schemas.ts";
import * as answers from "./answer-schemas.ts";
import { phonesAnswer, shownAnswer } from "./phones-schemas.ts";

interface Operation {
  readonly summary: string;
  readonly query?: z.ZodObject;
  readonly body?: z.ZodType;
  readonly answer: z.ZodType;
  readonly type?: string;
}

const json = "application/json";

/** Every address of the API; a test holds this list against the routes. */
const operations: Readonly<Record<string, Operation>> = {
  "GET /api/site": { summary: "What does not change while the daemon runs.", answer: answers.siteInfo },
  "GET /api/state": { summary: "What is true now.", answer: answers.liveState },
  "GET /api/level": {
    summary: "The level over time; without `from_s`, of the last day.",
    query: levelQuery,
    answer: answers.levelAnswer,
  },
  "GET /api/inflow": {
    summary: "What ran into the basin over time; without `from_s`, in the last day.",
    query: inflowQuery,
    answer: answers.inflowAnswer,
  },
  "GET /api/cycles": {
    summary: "The pump's cycles, newest first; without `from_s`, of the whole record.",
    query: cyclesQuery,
    answer: answers.cyclesAnswer,
  },
  "GET /api/budget": {
    summary: "What makes inflow and rate uncertain: of one cycle, or of what is true now. 404 without such a cycle.",
    query: budgetQuery,
    answer: answers.budgetAnswer,
  },
  "GET /api/findings": {
    summary: "What a person should know, newest first; without `from_s`, of the whole record.",
    query: findingsQuery,
    answer: answers.findingsAnswer,
  },
  "GET /api/alarms": {
    summary: "How each alarm stands, who is told, what was sent; 409 where nobody is called.",
    answer: alarmsAnswer,
  },
  "POST /api/alarms/act": {
    summary: "What a person does about an alarm; answers as /api/alarms.",
    body: actBody,
    answer: alarmsAnswer,
  },
  "POST /api/alarms/serviced": {
    summary: "Basin and pump were serviced; answers as /api/alarms.",
    body: servicedBody,
    answer: alarmsAnswer,
  },
  "POST /api/alarms/serviced/undo": {
    summary: "The entry of a service was a slip: it is taken back; answers as /api/alarms.",
    body: serviceUndoneBody,
    answer: alarmsAnswer,
  },
  "POST /api/alarms/test": {
    summary: "Sends a test to a contact; answers as /api/alarms.",
    body: testBody,
    answer: alarmsAnswer,
  },
  "GET /api/phones": {
    summary: "Which phones are told by their browsers' push services; 409 where nobody is called.",
    answer: phonesAnswer,
  },
  "POST /api/phones": {
    summary: "Takes a phone up, whose browser has subscribed; answers as /api/phones.",
    body: addPhoneBody,
    answer: phonesAnswer,
  },
  "POST /api/phones/renew": {
    summary: "Another subscription of a phone on the list; answers as /api/phones.",
    body: renewPhoneBody,
    answer: phonesAnswer,
  },
  "POST /api/phones/remove": {
    summary: "Takes a phone off the list; answers as /api/phones.",
    body: removePhoneBody,
    answer: phonesAnswer,
  },
  "POST /api/phones/test": {
    summary: "Sends a test to all phones of a person; answers as /api/phones.",
    body: testPhonesBody,
    answer: phonesAnswer,
  },
  "POST /api/phones/shown": {
    summary: "A phone says that it showed a message.",
    body: shownBody,
    answer: shownAnswer,
  },
  "PUT /api/speed": {
    summary: "How fast a simulation or a recording is played; 409 on a real basin.",
    body: speedBody,
    answer: answers.speedAnswer,
  },
  "GET /api/report": { summary: "The report so far, as `undercroft analyze` writes it.", answer: answers.report },
  "GET /api/summary": { summary: "The report so far without its cycles.", answer: answers.summary },
  "GET /api/sizing": {
    summary: "What was measured so far, as sizing reckons with it: the summary, the inflow, the last cycles.",
    answer: answers.sizingInputs,
  },
  "GET /api/rain": {
    summary: "The rain that was logged, in stretches; when first asked for it takes a while.",
    answer: answers.rainAnswer,
  },
  "GET /api/events": {
    summary: "Server-sent events: `state` (as /api/state), `cycle` and `finding`, as they come.",
    answer: z.string(),
    type: "text/event-stream",
  },
  "GET /api/openapi.json": { summary: "This document.", answer: z.looseObject({}) },
};

/** @param version of the program */
export function openApiDocument(version: string) {
  const paths: Record<string, Record<string, object>> = {};
  for (const [address, operation] of Object.entries(operations)) {
    const [method = "", path = ""] = address.split(" ");
    paths[path] = { ...paths[path], [method.toLowerCase()]: describe(operation) };
  }
  return {
    openapi: "3.1.0",
    info: { title: "Undercroft", version, description: "SI throughout; each name carries its unit." },
    paths,
  };
}

function describe({ summary, query, body, answer, type = json }: Operation) {
  return {
    summary,
    ...(query && { parameters: parameters(query) }),
    ...(body && { requestBody: { required: true, content: { [json]: { schema: schemaOf(body) } } } }),
    responses: {
      "200": { description: "The answer.", content: { [type]: { schema: schemaOf(answer) } } },
      default: { description: "What is wrong.", content: { [json]: { schema: schemaOf(answers.apiError) } } },
    },
  };
}

function parameters(query: z.ZodObject) {
  return Object.entries(query.shape).map(([name, schema]) => {
    const { description, ...rest } = schemaOf(schema);
    return { name, in: "query", required: false, description, schema: rest };
  });
}

function schemaOf(schema: z.core.$ZodType) {
  const { $schema, ...rest } = z.toJSONSchema(schema, { io: "input" });
  return rest;
}
