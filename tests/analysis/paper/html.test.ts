import { describe, expect, it } from "vitest";
import { html } from "../../../analysis/paper/html.ts";

describe("html", () => {
  it("escapes what is put into it, in text and in attributes", () => {
    const name = `<b>"O'Hara" & son`;
    expect(html`<p title="${name}">${name}</p>`.text).toBe(
      '<p title="&lt;b&gt;&quot;O&#39;Hara&quot; &amp; son">&lt;b&gt;&quot;O&#39;Hara&quot; &amp; son</p>',
    );
  });

  it("takes what is html as it is, joins lists, and leaves nothing of null and false", () => {
    const items = ["a", "<"].map((item) => html`<li>${item}</li>`);
    expect(html`<ul>${items}</ul>${null}${false}${0}`.text).toBe("<ul><li>a</li><li>&lt;</li></ul>0");
  });
});
