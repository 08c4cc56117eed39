import { describe, expect, it } from "vitest";
import { afterEnd, noticeOf, readNote, unreadable, whereTo } from "../../../dashboard/phones/show-note.ts";

const note = {
  ...{ key: "m17-a", tag: "t", title: "Hill House: HIGH WATER", text: "Level 41 cm.", phone: "p" },
  ...{ url: "https://basin.example.org/ack/abc", canAnswer: true, stays: true, lasts: ["a", "b"], over: [] },
};
const scope = "https://basin.example.org/cellar/";

describe("a notice", () => {
  it("stays where it is urgent, and takes an answer where there is a link", () => {
    expect(noticeOf(note, []).options).toMatchObject({
      ...{ body: "Level 41 cm.", tag: "t", renotify: true, requireInteraction: true },
      actions: [{ action: "answer", title: "I'll see to it" }],
    });
    expect(noticeOf({ ...note, canAnswer: false, stays: false }, []).options).toMatchObject({
      ...{ requireInteraction: false, actions: [] },
    });
  });

  it("sounds again for news of the same thing, not for a repetition", () => {
    expect(noticeOf(note, ["m16-b"]).options.renotify).toBe(true);
    expect(noticeOf(note, ["m17-a"]).options.renotify).toBe(false);
    // A browser refuses to sound again without a tag.
    expect(noticeOf(unreadable, []).options).toMatchObject({ tag: "", renotify: false });
  });

  it("of several that came together loses what is over, without a sound, and goes with the last of them", () => {
    const shown = ({ title, options }: ReturnType<typeof noticeOf>) => {
      const { body = "", tag = "", requireInteraction = false, data } = options;
      return { title, body, tag, requireInteraction, data };
    };
    const both = shown(noticeOf(note, []));
    expect(afterEnd(both, ["c"])).toBeNull();
    expect(afterEnd({ ...both, data: null }, ["a"])).toBeNull();
    const left = afterEnd(both, ["a", "c"]);
    if (left === null || left === "gone") throw new Error("it still lasts in part");
    expect(left).toMatchObject({
      title: note.title,
      options: { body: note.text, tag: "t", silent: true, renotify: false, requireInteraction: true },
    });
    expect(left.options).toMatchObject({ actions: [{ action: "answer" }], data: { lasts: ["b"], url: note.url } });
    expect(afterEnd(shown(left), ["b"])).toBe("gone");
  });

  it("is read as it was sent, and nothing else is", () => {
    expect(readNote(JSON.stringify(note))).toEqual(note);
    expect(readNote('{"title":"a","text":"b"}')).toMatchObject({
      title: "a",
      text: "b",
      url: null,
      canAnswer: false,
      lasts: [],
    });
    for (const other of ["", "{", "null", "17", '{"title":1,"text":"b"}']) expect(readNote(other)).toBeNull();
  });

  it("leads to the alarm, else to the page, and nowhere that is no page", () => {
    expect(whereTo(note.url, scope)).toBe(note.url);
    expect(whereTo(null, scope)).toBe("https://basin.example.org/cellar/#alarms");
    expect(whereTo("javascript:alert(1)", scope)).toBe("https://basin.example.org/cellar/#alarms");
    expect(whereTo("basins/elm/", scope)).toBe("https://basin.example.org/cellar/basins/elm/");
  });
});
