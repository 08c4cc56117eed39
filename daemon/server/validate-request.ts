// The door of the API: query and body pass the route's zod schema, and what does not fit gets one line that names the
// field, what was found and what is expected.

import type { FastifySchemaCompiler } from "fastify";
import type * as z from "zod";
import { eachProblem, explainIssue } from "../config/explain-issue.ts";

/** A request that cannot be answered as it is; the message is for whoever sent it. */
export class BadRequest extends Error {
  override readonly name = "BadRequest";
  readonly statusCode: number;

  constructor(message: string, statusCode = 400) {
    super(message);
    this.statusCode = statusCode;
  }
}

/** For `setValidatorCompiler`: every schema of a route is one of zod. */
export const validateRequest: FastifySchemaCompiler<z.ZodType> =
  ({ schema, httpPart }) =>
  (data: unknown) => {
    const parsed = schema.safeParse(data, { error: explainIssue });
    if (parsed.success) return { value: parsed.data };
    const lines = eachProblem(parsed.error.issues).map(({ path, message }) => {
      const field = path.length === 0 ? (httpPart ?? "request") : path.join(".");
      return `${field}: ${message}`;
    });
    return { error: new BadRequest(lines.join("; ")) };
  };
