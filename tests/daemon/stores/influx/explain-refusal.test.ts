import { describe, expect, it } from "vitest";
import { explainAnswer, explainRefusal } from "../../../../daemon/stores/influx/explain-refusal.ts";

const failed = (code: string) => Object.assign(new Error("connect failed"), { code });
const answered = (statusCode: number, body: string) =>
  Object.assign(new Error(`A ${statusCode} Whatever error occurred: ${body}`), { res: { statusCode } });

// What a real server says stands in tests/real/influx-set-up.test.ts and influx-limits.test.ts; here is the rest.
describe("explainRefusal", () => {
  it.each([
    [failed("CERT_HAS_EXPIRED"), "its certificate has expired"],
    [failed("EHOSTUNREACH"), "no way leads there"],
    [failed("EWHATEVER"), "the connection failed: connect failed"],
    [answered(403, '{"error":"create admin user first or disable authentication"}'), "it has no administrator yet"],
    [answered(503, "busy"), "it has too much to do"],
    [answered(404, "<html>\n<p>no such page</p>"), "it refused: <html> <p>no such page</p>"],
    [new Error("Internal Server Error"), "it failed at it (500); its log says why"],
    ["something thrown", "it refused: something thrown"],
  ])("says %s in one line", (error, said) => {
    expect(explainRefusal(error, "admin")).toContain(said);
    expect(explainRefusal(error, "admin")).not.toContain("\n");
  });

  it("says which question was too slow, or too large", () => {
    expect(explainAnswer("query-timeout limit exceeded")).toContain("it gave the question up as too slow");
    expect(explainAnswer("max-select-point limit exceeed: (101/100)")).toContain(
      "larger than its configuration allows",
    );
  });
});
