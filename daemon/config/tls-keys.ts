// `server.tls` of a site file and of the central view's file.

import * as z from "zod";

export const tlsKeys = z.strictObject({
  cert: z.string().min(1).describe("file with the certificate, and those between it and its authority (PEM)"),
  key: z.string().min(1).describe("file with its private key (PEM)"),
});
