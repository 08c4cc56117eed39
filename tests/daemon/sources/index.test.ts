import { execFileSync } from "node:child_process";
import { expect, it } from "vitest";

it("listing the sources loads no driver library: those cost memory that most boards do not have to spare", () => {
  const program = `
    await import("./daemon/sources/index.ts");
    const { createRequire } = await import("node:module");
    const loaded = Object.keys(createRequire(import.meta.url).cache);
    console.log(loaded.filter((file) => /node_modules.(mqtt|onoff|epoll)\\b/.test(file)).length);
  `;
  const folder = new URL("../../../", import.meta.url);
  const said = execFileSync(process.execPath, ["--input-type=module", "-e", program], {
    cwd: folder,
    encoding: "utf8",
  });
  expect(said).toBe("0\n");
});
