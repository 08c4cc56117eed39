// Certificates of an authority of the test's own.

import { execFileSync } from "node:child_process";
import { writeFileSync } from "node:fs";
import { join } from "node:path";

/** An authority and a certificate for 127.0.0.1 that it signed, as PEM files in the folder. */
export function makeCertificates(folder: string, name: string): { ca: string; cert: string; key: string } {
  const path = (file: string) => join(folder, `${name}-${file}`);
  const openssl = (...args: string[]) => execFileSync("openssl", args, { stdio: ["ignore", "ignore", "pipe"] });
  const newKey = ["-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:prime256v1", "-nodes"];
  const authority = ["-keyout", path("ca.key"), "-out", path("ca.pem"), "-days", "2", "-subj", `/CN=${name} authority`];
  openssl("req", "-x509", ...newKey, ...authority);
  openssl("req", ...newKey, "-keyout", path("key.pem"), "-out", path("request.pem"), "-subj", "/CN=127.0.0.1");
  writeFileSync(path("names.txt"), "subjectAltName=IP:127.0.0.1\n");
  const signer = ["-CA", path("ca.pem"), "-CAkey", path("ca.key"), "-CAcreateserial"];
  openssl(
    "x509",
    "-req",
    "-in",
    path("request.pem"),
    ...signer,
    "-days",
    "2",
    "-extfile",
    path("names.txt"),
    "-out",
    path("cert.pem"),
  );
  return { ca: path("ca.pem"), cert: path("cert.pem"), key: path("key.pem") };
}
