import { describe, expect, it } from "vitest";
import { buildServer } from "../../../daemon/server/build-server.ts";
import * as answers from "../../../daemon/server/openapi/answer-schemas.ts";
import { openApiDocument } from "../../../daemon/server/openapi/openapi-document.ts";
import { testParts } from "./parts.ts";

describe("the API's description", () => {
  it("lists the routes that there are, and no other", async () => {
    const server = buildServer(testParts());
    await server.ready();
    const document = openApiDocument("1.2.3");
    const listed = Object.entries(document.paths).flatMap(([path, item]) =>
      Object.keys(item).map((method) => ({ method: method.toUpperCase(), url: path })),
    );
    for (const { method, url } of listed) {
      expect(server.hasRoute({ method: method as "GET" | "PUT" | "POST", url }), `${method} ${url}`).toBe(true);
    }
    const routes = server.printRoutes({ commonPrefix: false }).match(/\b(GET|PUT|POST)\b(?=[^(]*\))/g) ?? [];
    const pages = 3; // the page itself, and what stands behind a message's link, with its button
    expect(listed).toHaveLength(routes.length - pages);
    await server.close();
  });

  it("names every parameter with its kind and its bounds", () => {
    const { paths } = openApiDocument("1.2.3");
    expect(paths["/api/cycles"]).toMatchObject({
      get: {
        parameters: [
          { name: "from_s", in: "query", required: false, schema: { type: "number" } },
          { name: "to_s", in: "query", required: false, schema: { type: "number" } },
          { name: "limit", in: "query", required: false, schema: { type: "integer", minimum: 1, maximum: 10_000 } },
        ],
      },
    });
  });

  it.each([
    ["/api/site", answers.siteInfo],
    ["/api/state", answers.liveState],
    ["/api/level", answers.levelAnswer],
    ["/api/cycles", answers.cyclesAnswer],
    ["/api/budget", answers.budgetAnswer],
    ["/api/findings", answers.findingsAnswer],
    ["/api/inflow", answers.inflowAnswer],
    ["/api/report", answers.report],
    ["/api/summary", answers.summary],
    ["/api/sizing", answers.sizingInputs],
    ["/api/rain", answers.rainAnswer],
  ])("describes what %s answers", async (url, schema) => {
    const server = buildServer(testParts());
    const answer = await server.inject({ url, headers: { host: "localhost" } });
    expect(schema.safeParse(answer.json()).error?.message).toBeUndefined();
    await server.close();
  });

  it("is served", async () => {
    const server = buildServer(testParts());
    const answer = await server.inject({ url: "/api/openapi.json", headers: { host: "localhost" } });
    expect(answer.json()).toMatchObject({ openapi: "3.1.0", info: { version: "1.2.3" } });
    await server.close();
  });
});
