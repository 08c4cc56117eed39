import { describe, expect, it } from "vitest";
import { boardName, machineName } from "../../deploy/central/names.ts";

describe("boardName", () => {
  it.each(["elm-12", "a", "7", "north-street-12-cellar", "x".repeat(64)])("takes %s", (name) => {
    expect(boardName(name)).toBe(name);
  });

  it.each([
    "",
    "Elm",
    "elm_12",
    "elm 12",
    "-elm",
    "elm-",
    "elm--12",
    "elm/oak",
    "elm#",
    "+",
    "..",
    "é",
    "x".repeat(65),
  ])("refuses %j, and says what is expected", (name) => {
    const message = `board ${JSON.stringify(name)}: expected 1 to 64 small letters, digits and single dashes`;
    expect(() => boardName(name)).toThrow(message);
  });

  it("refuses the names of the machine's own accounts", () => {
    for (const name of ["central", "administrator"]) expect(() => boardName(name)).toThrow("take another");
  });
});

describe("machineName", () => {
  it.each(["monitor.example.org", "monitor", "192.0.2.7", "2001:db8::7"])("takes %s", (name) => {
    expect(machineName(name)).toBe(name);
  });

  it.each(["", "Monitor", "https://monitor", "monitor:8443", "192.0.2.700", "a..b", "-a", "mon itor"])(
    "refuses %j",
    (name) => {
      expect(() => machineName(name)).toThrow("expected a host name in small letters or an IP address");
    },
  );
});
